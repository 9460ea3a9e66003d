//! The frames of a shot that lie on the device.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use gpu::device::{Gpu, Held, HeldFrames};
use media::{About, MediaError, Sequence};
use session::Fault;

/// A shot's frames.
pub struct Frames {
    media: PathBuf,
    sequence: Sequence,
    held: HeldFrames,
    abouts: std::collections::BTreeMap<i64, About>,
}

/// A frame on the device, with what its file says.
pub struct Found {
    /// The original.
    pub held: Held,
    /// What its file says.
    pub about: About,
    /// Its number: that of the nearest there is.
    pub number: i64,
}

impl Frames {
    /// Lists the frames of a shot; of those that are used, as many stay on the device as fit the budget.
    pub fn open(media: &Path, budget_bytes: u64) -> Result<Self, Fault> {
        let sequence = Sequence::open(media).map_err(gone)?;
        let held = HeldFrames::new(budget_bytes);
        Ok(Self { media: media.to_owned(), sequence, held, abouts: std::collections::BTreeMap::new() })
    }

    /// Where they lie.
    pub fn media(&self) -> &Path {
        &self.media
    }

    /// What lies there.
    pub fn sequence(&self) -> &Sequence {
        &self.sequence
    }

    /// First and last number.
    pub fn span(&self) -> [i64; 2] {
        let span = self.sequence.span();
        [*span.start(), *span.end()]
    }

    /// A frame; where its number is missing, the nearest before it, else the first.
    pub fn get(&mut self, gpu: &Arc<Gpu>, number: i64) -> Result<Found, Fault> {
        let frames = self.sequence.frames();
        let at = frames.partition_point(|(own, _)| *own <= number).saturating_sub(1);
        let Some((number, path)) = frames.get(at) else {
            return Err(Fault::failed(format!("{}: there is no frame", self.media.display())));
        };
        let number = *number;
        if let (Some(held), Some(about)) = (self.held.get(number), self.abouts.get(&number)) {
            return Ok(Found { held: held.clone(), about: about.clone(), number });
        }
        let media::Picture { mut frame, about } = media::read(path).map_err(gone)?;
        frame.replace_non_finite();
        let bytes = Held::byte_len_of(gpu, frame.size(), frame.layout(), None);
        self.held.make_room(number, bytes, |other| other.abs_diff(number));
        let held = Held::new(gpu, Arc::new(frame), None)?;
        self.held.insert(number, held.clone());
        self.abouts.insert(number, about.clone());
        Ok(Found { held, about, number })
    }
}

/// What is not there may be on a volume that is away: it is looked for again, so all there is to do is to bring it back.
fn gone(error: MediaError) -> Fault {
    match &error {
        MediaError::Missing { path } | MediaError::NoFrames { path } => Fault::failed(format!(
            "{}: not there. Connect the volume, or bring the folder back: the picture then comes by itself",
            path.display()
        )),
        _ => error.into(),
    }
}
