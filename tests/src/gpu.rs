//! The adapter that the suites run on, and pixels through a plan on it.

use std::sync::{Arc, OnceLock};

use frame::{ByteOrder, Channels, Layout, Range, Samples, Size};
use gpu::assemble::{Edge, Mutation, Place, Program, assemble_with};
use gpu::device::{AdapterChoice, Gpu, Runner};
use graph::Elaborated;
use plan::{Level, Plan};

/// Pixels enter and leave as three single floats.
pub const FLOAT: Layout = Layout::new(Channels::Rgb, Samples::Float, ByteOrder::Little);

/// The edge of a pass that reads or writes [`FLOAT`].
pub const FLOAT_EDGE: Edge = Edge::Stored(FLOAT, Range::Full);

/// The adapter that `GREYWRIGHT_ADAPTER` names, opened once a process. Without one the caller's test is
/// skipped with a printed reason.
///
/// # Panics
/// Under `REQUIRE_GPU=1` a missing adapter is a failure.
pub fn adapter() -> Option<Arc<Gpu>> {
    static GPU: OnceLock<Option<Arc<Gpu>>> = OnceLock::new();
    GPU.get_or_init(|| {
        let required = std::env::var("REQUIRE_GPU").is_ok_and(|value| value == "1");
        let reason = match Gpu::open(&AdapterChoice::from_environment()) {
            Ok(Some(gpu)) => {
                println!("adapter: {}", gpu.note());
                return Some(gpu);
            }
            Ok(None) => "there is no adapter".to_string(),
            Err(error) => error.to_string(),
        };
        assert!(!required, "REQUIRE_GPU=1, but {reason}");
        println!("skipped: {reason}");
        None
    })
    .clone()
}

/// A program that works on single floats.
///
/// # Panics
/// A shader that does not hold.
pub fn program(elaborated: &Elaborated, level: Level, mutation: Option<Mutation>) -> Program {
    let plan = Plan::new(elaborated, level);
    assemble_with(&plan, FLOAT_EDGE, FLOAT_EDGE, mutation).unwrap_or_else(|error| panic!("{error}\n{plan}"))
}

/// Pixels through programs of one shape: the buffers stay, only settings move.
pub struct Lane {
    runner: Runner,
    bytes: Vec<u8>,
}

impl Lane {
    /// Binds a program to some pixels.
    ///
    /// # Panics
    /// What the device refuses.
    pub fn new(gpu: &Arc<Gpu>, program: &Program, pixels: &[[f32; 3]]) -> Self {
        let runner = Runner::new(gpu, program, pixels.len() as u64, 1).expect("the program runs on this adapter");
        let bytes = pixels.iter().flatten().flat_map(|channel| channel.to_le_bytes()).collect();
        Self { runner, bytes }
    }

    /// Other settings of the same shape.
    pub fn set(&self, program: &Program) {
        self.runner.set(program);
    }

    /// What the pixels become.
    ///
    /// # Panics
    /// What the device refuses.
    pub fn run(&mut self) -> Vec<[f32; 3]> {
        let ticket = self.runner.send(&self.bytes, Place::whole(Size::new(1, 1), 0)).expect("the frame is taken");
        let mut out = Vec::new();
        self.runner.collect(ticket, &mut out).expect("the frame comes back");
        let floats: Vec<f32> =
            out.as_chunks::<4>().0.iter().map(|bytes| f32::from_le_bytes(*bytes)).take(self.bytes.len() / 4).collect();
        floats.as_chunks::<3>().0.to_vec()
    }
}

/// What pixels become under a chain on the GPU.
pub fn render(gpu: &Arc<Gpu>, elaborated: &Elaborated, level: Level, pixels: &[[f32; 3]]) -> Vec<[f32; 3]> {
    Lane::new(gpu, &program(elaborated, level, None), pixels).run()
}
