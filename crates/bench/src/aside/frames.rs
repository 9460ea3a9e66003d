//! The frames that were read last, and what chains mean for them.

use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use graph::Elaborated;
use media::Picture;
use session::Fault;
use session::chain::{Chain, encodings};

use crate::pictures::Wanted;

/// Frames that stay.
const MOST: usize = 4;

/// The frames that were read last.
#[derive(Default)]
pub struct Frames {
    /// The newest last.
    pictures: VecDeque<(PathBuf, i64, Arc<Picture>)>,
}

/// Which frame of a shot.
#[derive(Debug, Clone, Copy)]
pub enum Which {
    /// By its number, or the nearest before it.
    Number(i64),
    /// The one in the middle.
    Middle,
}

/// A frame with a chain's meaning for it.
pub struct Found {
    /// The chain.
    pub chain: Chain,
    /// What it means.
    pub whole: Elaborated,
    /// The frame.
    pub picture: Arc<Picture>,
    /// Its number.
    pub number: i64,
    /// Its file.
    pub path: PathBuf,
}

impl Frames {
    /// A frame of what is wanted, and what the chain means for it.
    ///
    /// # Errors
    /// No frames, a chain without meaning.
    pub fn find(&mut self, wanted: &Wanted, which: Which) -> Result<Found, Fault> {
        let source = &wanted.source;
        let book = encodings(&source.encoding_files)?;
        let document = source.document.clone();
        let chain = Chain::of_document(
            document,
            &wanted.named.candidate,
            Some(&wanted.named.shot),
            &source.folder,
            book,
            |_| {},
        )?;
        let (picture, number, path) = self.read(&wanted.media, which)?;
        let whole = chain.for_frame(&picture.about, number)?;
        Ok(Found { chain, whole, picture, number, path })
    }

    fn read(&mut self, media: &Path, which: Which) -> Result<(Arc<Picture>, i64, PathBuf), Fault> {
        let sequence = media::Sequence::open(media)?;
        let frames = sequence.frames();
        let at = match which {
            Which::Number(number) => frames.partition_point(|(own, _)| *own <= number).saturating_sub(1),
            Which::Middle => frames.len() / 2,
        };
        let Some((number, path)) = frames.get(at) else {
            return Err(Fault::failed(format!("{}: there is no frame", media.display())));
        };
        if let Some((_, _, picture)) = self.pictures.iter().find(|(own, of, _)| own == media && of == number) {
            return Ok((Arc::clone(picture), *number, path.clone()));
        }
        let picture = Arc::new(media::read(path)?);
        if self.pictures.len() == MOST {
            self.pictures.pop_front();
        }
        self.pictures.push_back((media.to_owned(), *number, Arc::clone(&picture)));
        Ok((picture, *number, path.clone()))
    }
}
