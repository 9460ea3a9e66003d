//! Makes the picture of one tile: the frame, what the chain means for it, the program, the device's work.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use colour::CodeRange;
use colour::primaries;
use frame::Layout;
use gpu::assemble::{Edge, assemble, assemble_view};
use gpu::device::{AdapterChoice, Gpu, Renderer, SCREEN_EDGE, Scopes};
use graph::{Elaborated, Value};
use measure::Tap as Signal;
use measure::view::{Clip, Kind, Level, View};
use ops::Book;
use plan::{Level as Effort, Plan};
use session::Fault;
use session::chain::{Chain, encodings, file_range};
use session::readings::scene;

use super::frames::Frames;
use super::traces::{self, Countable, Traces};
use super::{Basis, Shown, Source, Wanted};
use crate::state::{Look, Square, Tap, Wide};

/// Shots whose frames stay on the device.
const SHOTS: usize = 4;
/// Bytes of one shot's frames that stay on the device.
const BUDGET_BYTES: u64 = 512 << 20;

/// What the thread that makes pictures keeps between two wishes.
pub struct Maker {
    gpu: Arc<Gpu>,
    /// The shots used last, the newest last.
    shots: Vec<Frames>,
    /// A program for each tile.
    renderers: BTreeMap<u64, Renderer>,
    /// What counts traces.
    counters: Option<Scopes>,
    /// The encodings of the project's encoding files.
    book: Option<(Vec<std::path::PathBuf>, Book)>,
    /// Pictures drawn so far.
    drawn: u32,
}

impl Maker {
    pub fn new(gpu: Arc<Gpu>) -> Self {
        Self { gpu, shots: Vec::new(), renderers: BTreeMap::new(), counters: None, book: None, drawn: 0 }
    }

    /// Takes the device that stands in for its own, where that one is lost; all that was drawn on it is lost too.
    ///
    /// # Errors
    /// There is no adapter any more.
    pub fn renew(&mut self) -> Result<bool, Fault> {
        if !self.gpu.is_lost() {
            return Ok(false);
        }
        self.gpu = self.gpu.again(&AdapterChoice::from_environment())?;
        self.renderers.clear();
        self.counters = None;
        Ok(true)
    }

    /// Makes the picture of a tile.
    ///
    /// # Errors
    /// No frames, a chain that cannot be meant, a lost device that does not come back.
    pub fn make(&mut self, tile: u64, wanted: &Wanted) -> Result<(Shown, Countable), Fault> {
        let started = Instant::now();
        let chain = self.chain(&wanted.source, wanted)?;
        let gpu = Arc::clone(&self.gpu);
        let frames = self.frames(&wanted.media)?;
        let span = frames.span();
        let found = frames.get(&gpu, wanted.frame)?;
        let whole = chain.for_frame(&found.about, found.number)?;
        let value = value_of(wanted.named.tap, &chain, &whole);
        let elaborated = match value {
            Some(value) => whole.at(value).ok_or_else(|| Fault::failed("there is no picture at this place"))?,
            // Codes as the screen takes them are those of the full range, whatever the files get.
            None => Elaborated { result_range: CodeRange::Full, ..whole.clone() },
        };
        let source = Edge::Stored(found.held.layout(), file_range(elaborated.original_range));
        let plan = super::clean::plan(&elaborated, wanted.monitor.as_deref())?;
        let program = match kind_of(wanted.look) {
            Some(kind) => {
                let viewed = viewed(kind.clone(), &elaborated, &whole)?;
                let view = view_of(kind, &viewed, found.held.layout());
                assemble_view(&Plan::new(&viewed, Effort::Full), source, &view, SCREEN_EDGE)?
            }
            None => assemble(&plan, source, SCREEN_EDGE)?,
        };
        let renderer = match self.renderers.entry(tile) {
            Entry::Occupied(place) => {
                let renderer = place.into_mut();
                renderer.set(program)?;
                renderer
            }
            Entry::Vacant(place) => {
                place.insert(Renderer::new(Arc::clone(&gpu), AdapterChoice::from_environment(), program, None))
            }
        };
        let drawn = renderer.draw(&found.held, found.number)?;
        let is_picture = wanted.look == Look::Picture;
        let basis = || Basis { elaborated: elaborated.clone(), original: Arc::clone(found.held.frame()) };
        self.drawn += 1;
        // A fault on purpose, as in a render (DEVELOPERS.md).
        if session::engine::lose_device_at() == Some(self.drawn) {
            gpu.lose();
        }
        let shown = Shown {
            basis: is_picture.then(|| Arc::new(basis())),
            drawn: Arc::new(drawn),
            named: wanted.named.clone(),
            pixel_aspect: found.about.pixel_aspect.filter(|aspect| aspect.is_finite() && *aspect > 0.0).unwrap_or(1.0),
            codes: None,
            frame: found.number,
            span,
            signal: elaborated.result_signal.to_string(),
            rendering: elaborated.rendering_in_words(),
            made: elaborated.made.clone(),
            warnings: elaborated.warnings.iter().map(ToString::to_string).collect(),
            plan: plan.to_string().into(),
            took: started.elapsed(),
            revision: 0,
        };
        Ok((shown, Countable { elaborated, plan, held: found.held, source }))
    }

    /// Counts the traces of a picture.
    ///
    /// # Errors
    /// A lost device that does not come back.
    pub fn count(&mut self, from: &Countable, kinds: (Wide, Square)) -> Result<Traces, Fault> {
        traces::count(&self.gpu, &mut self.counters, from, kinds)
    }

    /// Forgets what belongs to tiles that are no more.
    pub fn keep_only(&mut self, tiles: &[u64]) {
        self.renderers.retain(|tile, _| tiles.contains(tile));
    }

    fn chain(&mut self, source: &Source, wanted: &Wanted) -> Result<Chain, Fault> {
        let book = match &self.book {
            Some((files, book)) if *files == source.encoding_files => book.clone(),
            _ => {
                let book = encodings(&source.encoding_files)?;
                self.book = Some((source.encoding_files.clone(), book.clone()));
                book
            }
        };
        let (document, folder) = (source.document.clone(), &source.folder);
        // Warnings come with the picture; there is no terminal to say them on.
        Chain::of_document(document, &wanted.named.candidate, Some(&wanted.named.shot), folder, book, |_| {})
    }

    fn frames(&mut self, media: &Path) -> Result<&mut Frames, Fault> {
        match self.shots.iter().position(|shot| shot.media() == media) {
            Some(at) => {
                let shot = self.shots.remove(at);
                self.shots.push(shot);
            }
            None => {
                let shot = Frames::open(media, BUDGET_BYTES)?;
                if self.shots.len() == SHOTS {
                    self.shots.remove(0);
                }
                self.shots.push(shot);
            }
        }
        self.shots.last_mut().ok_or_else(|| Fault::failed("there are no frames"))
    }
}

/// The picture that a tap leads out; none where the picture leaves anyway.
pub fn value_of(tap: Tap, chain: &Chain, whole: &Elaborated) -> Option<Value> {
    match tap {
        Tap::Result => None,
        Tap::Original => Some(Value(0)),
        Tap::After(index) => {
            let at = chain.places().iter().position(|(own, _)| *own == index)?;
            Some(Value((at + 1).min(whole.nodes.len())))
        }
    }
}

/// What is drawn in place of the picture, or over it; none where the picture itself is seen.
fn kind_of(look: Look) -> Option<Kind> {
    match look {
        Look::Picture => None,
        Look::Bands => Some(Kind::FalseColour),
        Look::Zebra => Some(Kind::Zebra(Level::Luma(0.95, f64::INFINITY))),
        Look::Warnings => Some(Kind::Warnings),
    }
}

/// What a view is of: bands of stops are of scene light, the nearest before a display's signal; the others of what is seen.
fn viewed(kind: Kind, seen: &Elaborated, whole: &Elaborated) -> Result<Elaborated, Fault> {
    if kind != Kind::FalseColour || Signal::new(seen.result_signal.clone()).is_scene() {
        return Ok(seen.clone());
    }
    let light = scene(whole).and_then(|value| whole.at(value));
    let light = light.filter(|light| Signal::new(light.result_signal.clone()).is_scene());
    light.ok_or_else(|| {
        Fault::asked("bands of stops are of scene light, and this candidate has none; put an input-transform in front")
    })
}

fn view_of(kind: Kind, viewed: &Elaborated, layout: Layout) -> View {
    let clip = if layout.is_float() { Clip::none() } else { Clip::of_codes(layout.bits(), viewed.original_range) };
    View::new(kind, Signal::new(viewed.result_signal.clone()), clip, &primaries::BT709)
}

#[cfg(test)]
mod tests {
    use colour::Encoding;
    use graph::Original;
    use measure::view::{BANDS, Class, Pixel};
    use reference::Proof;

    use super::*;

    fn meant(chain: &str) -> Elaborated {
        let document = graph::chain::parse(chain).unwrap();
        let original = Original::Encoded(Encoding::named("LogC3", None).unwrap());
        let wiring = &document.candidates[graph::chain::CANDIDATE];
        graph::elaborate(wiring, &document.kit, &original, None, &Book::default()).unwrap()
    }

    /// A card of 18 % is mid grey in the bands, whatever a rendering makes of it for a display.
    ///
    /// # Source
    /// The code of 18 % in LogC3 at EI 800, 0.391007: ARRI, ALEXA Log C Curve, 2017.
    #[test]
    fn bands_are_of_scene_light_where_the_picture_is_a_displays() {
        let whole = meant("input-transform | exposure stops=1 | output-transform display=BT.1886");
        let viewed = viewed(Kind::FalseColour, &whole, &whole).unwrap();
        let layout = SCREEN_EDGE.stored().unwrap().0;
        let view = view_of(Kind::FalseColour, &viewed, layout);
        let original = [0.391_007; 3];
        let signal = Proof::new(&viewed).pixel(original);
        let Class::Band(band) = view.class(Pixel { original, signal }) else { panic!("no band") };
        assert_eq!(BANDS[band].numeral, "+1");
    }

    #[test]
    fn other_views_are_of_what_is_seen() {
        let whole = meant("input-transform | output-transform display=BT.1886");
        assert_eq!(viewed(Kind::Warnings, &whole, &whole).unwrap(), whole);
    }

    #[test]
    fn bands_without_scene_light_say_what_to_do() {
        let document = graph::chain::parse("channel-gain red=1.1 domain=as-given").unwrap();
        let wiring = &document.candidates[graph::chain::CANDIDATE];
        let display = Original::Encoded(Encoding::named("sRGB", None).unwrap());
        let whole = graph::elaborate(wiring, &document.kit, &display, None, &Book::default()).unwrap();
        let fault = viewed(Kind::FalseColour, &whole, &whole).unwrap_err().to_string();
        assert!(fault.contains("put an input-transform in front"), "{fault}");
    }
}
