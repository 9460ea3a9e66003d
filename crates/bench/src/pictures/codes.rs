//! Codes that are drawn as they are.

use std::sync::Arc;

use colour::CodeRange;
use frame::{Frame, Range};
use gpu::assemble::{Edge, assemble};
use gpu::device::{AdapterChoice, Drawn, Held, Renderer, SCREEN_EDGE};
use graph::{Elaborated, Made, Value};
use ops::Display;
use plan::{Level, Plan};
use session::Fault;

use super::Pictures;

impl Pictures {
    /// Draws a frame of codes of the full range, which nothing is done to; none where there is no device.
    ///
    /// # Errors
    /// A lost device that does not come back.
    pub fn draw_codes(&self, frame: Frame) -> Result<Option<Arc<Drawn>>, Fault> {
        let Some(gpu) = self.gpu() else { return Ok(None) };
        let signal = Display::Bt1886.signal(100.0, 0.0);
        let as_it_is = Elaborated {
            original: signal.clone(),
            original_range: CodeRange::Full,
            nodes: Vec::new(),
            result: Value(0),
            result_signal: signal,
            result_range: CodeRange::Full,
            made: Made::AsOriginal,
            warnings: Vec::new(),
        };
        let source = Edge::Stored(frame.layout(), Range::Full);
        let program = assemble(&Plan::new(&as_it_is, Level::Full), source, SCREEN_EDGE)?;
        let _work = self.at_rest();
        let held = Held::new(gpu, Arc::new(frame), None)?;
        let mut renderer = Renderer::new(Arc::clone(gpu), AdapterChoice::from_environment(), program, None);
        Ok(Some(Arc::new(renderer.draw(&held, 0)?)))
    }
}
