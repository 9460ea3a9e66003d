//! What the wish for a picture means for frames of one kind: the chain, what the device does, and what is said of it.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use colour::CodeRange;
use colour::primaries;
use frame::{Frame, Layout, Size};
use gpu::assemble::{Edge, Program, assemble, assemble_view};
use gpu::device::{Drawn, Held, SCREEN_EDGE};
use graph::{Elaborated, Made, Value};
use measure::Tap as Signal;
use measure::view::{Clip, Kind, Level, View};
use media::About;
use ops::Book;
use plan::{Level as Effort, Plan};
use session::Fault;
use session::chain::{Chain, encodings, file_range};
use session::playback::Share;
use session::readings::scene;

use super::traces::Countable;
use super::{Basis, Shown, Wanted};
use crate::state::{Look, Tap};

/// Makes chains of documents.
#[derive(Default)]
pub struct Chains {
    /// The encodings of the project's encoding files.
    book: Option<(Vec<PathBuf>, Book)>,
}

impl Chains {
    /// The chain of a wish.
    ///
    /// # Errors
    /// Encoding files that cannot be read, a candidate that cannot be meant.
    pub fn of(&mut self, wanted: &Wanted) -> Result<Chain, Fault> {
        let source = &wanted.source;
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
}

/// What leads from frames of one kind to a tile's picture.
pub struct Meant {
    elaborated: Arc<Elaborated>,
    plan: Arc<Plan>,
    source: Edge,
    said: Said,
}

/// What is said of every picture of it.
#[derive(Clone)]
struct Said {
    signal: String,
    rendering: String,
    made: Made,
    unseen: Option<String>,
    warnings: Vec<String>,
    plan: Arc<str>,
}

/// A frame as a picture is made of it.
pub struct Original<'a> {
    /// What its file says.
    pub about: &'a About,
    /// Its number.
    pub number: i64,
    /// Its size.
    pub whole: Size,
    /// How much of it is there.
    pub share: Share,
}

impl Meant {
    /// What a wish means for a frame, and the program for the device.
    ///
    /// # Errors
    /// A chain that cannot be meant, a tap where there is no picture.
    pub fn new(
        chain: &Chain,
        wanted: &Wanted,
        about: &About,
        number: i64,
        layout: Layout,
    ) -> Result<(Self, Program), Fault> {
        let whole = chain.for_frame(about, number)?;
        let value = value_of(wanted.named.tap, chain, &whole);
        let elaborated = match value {
            Some(value) => whole.at(value).ok_or_else(|| Fault::failed("there is no picture at this place"))?,
            // Codes as the screen takes them are those of the full range, whatever the files get.
            None => Elaborated { result_range: CodeRange::Full, ..whole.clone() },
        };
        let source = Edge::Stored(layout, file_range(elaborated.original_range));
        let (plan, unseen) = super::clean::plan(&elaborated, wanted.monitor.as_deref());
        let program = match kind_of(wanted.look) {
            Some(kind) => {
                let viewed = viewed(kind.clone(), &elaborated, &whole)?;
                let view = view_of(kind, &viewed, layout);
                assemble_view(&Plan::new(&viewed, Effort::Full), source, &view, SCREEN_EDGE)?
            }
            None => assemble(&plan, source, SCREEN_EDGE)?,
        };
        let said = Said {
            signal: elaborated.result_signal.to_string(),
            rendering: elaborated.rendering_in_words(),
            made: elaborated.made.clone(),
            unseen,
            warnings: elaborated.warnings.iter().map(ToString::to_string).collect(),
            plan: plan.to_string().into(),
        };
        Ok((Self { elaborated: Arc::new(elaborated), plan: Arc::new(plan), source, said }, program))
    }

    /// A picture that was drawn by it of a frame, in the place of frame `asked`.
    pub fn shown(
        &self,
        drawn: Drawn,
        wanted: &Wanted,
        original: &Original<'_>,
        asked: i64,
        span: [i64; 2],
        took: Duration,
    ) -> Shown {
        let Said { signal, rendering, made, unseen, warnings, plan } = self.said.clone();
        let about = original.about;
        Shown {
            drawn: Arc::new(drawn),
            named: wanted.named.clone(),
            pixel_aspect: about.pixel_aspect.filter(|aspect| aspect.is_finite() && *aspect > 0.0).unwrap_or(1.0),
            codes: None,
            frame: original.number,
            asked,
            meanwhile: false,
            whole: original.whole,
            share: original.share,
            timecode: about.timecode.and_then(|timecode| timecode.address().ok()).map(|address| address.to_string()),
            rate: about.rate,
            span,
            signal,
            rendering,
            made,
            unseen,
            warnings,
            plan,
            basis: None,
            took,
            revision: 0,
        }
    }

    /// What a picture of it was made of; none where it is no picture that could be proved, such as bands, or one that goes through
    /// a monitor.
    pub fn basis(&self, wanted: &Wanted, original: &Arc<Frame>) -> Option<Arc<Basis>> {
        let is_picture = wanted.look == Look::Picture && wanted.monitor.is_none();
        let basis = || Basis { elaborated: self.elaborated.as_ref().clone(), original: Arc::clone(original) };
        is_picture.then(|| Arc::new(basis()))
    }

    /// What the traces of a picture of it are counted from.
    pub fn countable(&self, held: Held, frame: i64) -> Countable {
        let (elaborated, plan) = (Arc::clone(&self.elaborated), Arc::clone(&self.plan));
        Countable { elaborated, plan, held, source: self.source, frame }
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
