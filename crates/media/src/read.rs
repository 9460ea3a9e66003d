//! Reading one file, whatever its name ends in: the first bytes say what it is.

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use frame::Frame;

use crate::{About, Format, MediaError, dpx, jpeg_file, movie, openexr, png_file, tiff};

/// A frame and what its file says of it.
#[derive(Debug, Clone)]
pub struct Picture {
    /// The pixels as stored, alpha associated.
    pub frame: Frame,
    /// Everything else.
    pub about: About,
}

/// A file opened for reading, with what is known before its header is believed.
pub(crate) struct Source<'a> {
    pub path: &'a Path,
    pub file: Input,
    pub len: u64,
}

/// Reads a DPX, OpenEXR, TIFF, PNG or JPEG file. Samples are not changed, except that alpha becomes
/// associated, luma becomes RGB and whole numbers in OpenEXR become single float; NaN and infinity stay for `Frame::replace_non_finite` to count.
///
/// # Errors
/// A file that is missing, unreadable, cut short, damaged, larger than a frame may be, or of a kind that
/// is not read; the message says which field and what to do.
pub fn read(path: &Path) -> Result<Picture, MediaError> {
    read_timed(path).0
}

/// As [`read`], with the time that the system took to hand out the file's bytes; the rest was decoding.
pub fn read_timed(path: &Path) -> (Result<Picture, MediaError>, Duration) {
    let waited = Arc::new(AtomicU64::new(0));
    let picture = open(path, &waited).and_then(decode);
    (picture, Duration::from_nanos(waited.load(Ordering::Relaxed)))
}

fn open<'a>(path: &'a Path, waited: &Arc<AtomicU64>) -> Result<Source<'a>, MediaError> {
    let failed = |error| MediaError::reading(path, error);
    let file = timed(waited, || File::open(path)).map_err(failed)?;
    let about_file = file.metadata().map_err(failed)?;
    if about_file.is_dir() {
        return Err(failed(io::ErrorKind::IsADirectory.into()));
    }
    Ok(Source { path, file: Input { file, waited: Arc::clone(waited) }, len: about_file.len() })
}

/// An error where the file is a movie, which the ending must say and the first bytes must not gainsay.
pub(crate) fn refuse_movie(path: &Path) -> Result<(), MediaError> {
    if movie::by_ending(path).is_none() {
        return Ok(());
    }
    open(path, &Arc::default())?.format().map(drop)
}

fn decode(mut source: Source<'_>) -> Result<Picture, MediaError> {
    let path = source.path;
    match source.format()? {
        Format::Dpx => dpx::read(source),
        Format::Exr => guarded(path, || openexr::read(source)),
        Format::Tiff => guarded(path, || tiff::read(source)),
        Format::Png => guarded(path, || png_file::read(source)),
        Format::Jpeg => guarded(path, || jpeg_file::read(source)),
    }
}

/// A file that counts the nanoseconds for which its reader waits.
pub(crate) struct Input {
    file: File,
    waited: Arc<AtomicU64>,
}

fn timed<T>(waited: &AtomicU64, work: impl FnOnce() -> T) -> T {
    let started = Instant::now();
    let done = work();
    waited.fetch_add(u64::try_from(started.elapsed().as_nanos()).unwrap_or(u64::MAX), Ordering::Relaxed);
    done
}

impl Input {
    /// Puts what is left of the file, `most` bytes of it, at the end of `bytes`. Unlike `read_to_end` by way of
    /// [`Read`], which can only fill memory that was filled before, this writes each byte once.
    pub fn read_most(&mut self, most: u64, bytes: &mut Vec<u8>) -> io::Result<usize> {
        timed(&self.waited, || (&self.file).take(most).read_to_end(bytes))
    }
}

impl Read for Input {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        timed(&self.waited, || self.file.read(buffer))
    }
}

impl Seek for Input {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.file.seek(to)
    }
}

/// Runs a decoder that is not ours: where a damaged file makes it panic, the file is to blame.
fn guarded(path: &Path, decode: impl FnOnce() -> Result<Picture, MediaError>) -> Result<Picture, MediaError> {
    // Nothing outside sees what the decoder left behind: the file handle dies with it.
    catch_unwind(AssertUnwindSafe(decode))
        .unwrap_or_else(|_| Err(MediaError::damaged(path, "its contents contradict its header")))
}

impl Source<'_> {
    /// What the first bytes say, the file being at its beginning afterwards.
    fn format(&mut self) -> Result<Format, MediaError> {
        let failed = |error| MediaError::reading(self.path, error);
        let mut magic = Vec::new();
        (&mut self.file).take(16).read_to_end(&mut magic).map_err(failed)?;
        self.file.rewind().map_err(failed)?;
        let wrong = |found: String| Err(MediaError::WrongMagic { path: self.path.to_owned(), found });
        match magic.as_slice() {
            [b'S', b'D', b'P', b'X', ..] | [b'X', b'P', b'D', b'S', ..] => Ok(Format::Dpx),
            [0x76, 0x2f, 0x31, 0x01, ..] => Ok(Format::Exr),
            [b'I', b'I', 42 | 43, 0, ..] | [b'M', b'M', 0, 42 | 43, ..] => Ok(Format::Tiff),
            [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', ..] => Ok(Format::Png),
            [0xff, 0xd8, 0xff, ..] => Ok(Format::Jpeg),
            [] => wrong("nothing (the file is empty)".into()),
            [0x80, 0x2a, 0x5f, 0xd7, ..] | [0xd7, 0x5f, 0x2a, 0x80, ..] => wrong("the mark of a Cineon file".into()),
            other => {
                if let Some(kind) = movie::kind_of(self.path, other) {
                    return Err(movie::refusal(self.path, kind));
                }
                let hex: Vec<String> = other.iter().take(8).map(|byte| format!("{byte:02x}")).collect();
                wrong(format!("bytes {}", hex.join(" ")))
            }
        }
    }
}
