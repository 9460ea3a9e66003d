//! What a file holds, as a number that nothing else comes to by chance.

use std::fmt::{self, Write as _};
use std::fs::File;
use std::io::{self, Read as _};
use std::path::Path;
use std::str::FromStr;
use std::time::{Duration, Instant};

use xxhash_rust::xxh3::Xxh3Default as Hash;

/// Read at a time: fits a core's cache.
const CHUNK: usize = 256 * 1024;

/// A hash of 128 bits. It tells damage and change, not malice.
///
/// # Source
/// XXH3, xxHash specification 0.2.0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Content(u128);

impl Content {
    /// Of bytes in pieces that follow each other.
    pub fn of_pieces(pieces: &[&[u8]]) -> Self {
        let mut hash = Hash::new();
        pieces.iter().for_each(|piece| hash.update(piece));
        Self(hash.digest128())
    }

    /// Of a file.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn of_file(path: &Path) -> io::Result<Self> {
        Self::of_file_timed(path).map(|(content, _)| content)
    }

    /// Of a file, with how long the system took to hand out its bytes.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn of_file_timed(path: &Path) -> io::Result<(Self, Duration)> {
        let mut reading = Duration::ZERO;
        let mut timed = |work: &mut dyn FnMut() -> io::Result<usize>| {
            let started = Instant::now();
            let done = work();
            reading += started.elapsed();
            done
        };
        let mut file = File::open(path)?;
        let (mut hash, mut chunk) = (Hash::new(), vec![0; CHUNK]);
        loop {
            match timed(&mut || file.read(&mut chunk)) {
                Ok(0) => return Ok((Self(hash.digest128()), reading)),
                Ok(count) => hash.update(chunk.get(..count).unwrap_or_default()),
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
    }

    /// Of all that a value says of itself to developers, down to the last digit of its numbers.
    pub fn of_value(value: &impl fmt::Debug) -> Self {
        let mut taker = Taker(Hash::new());
        // Taking letters cannot fail.
        let _ = write!(taker, "{value:?}");
        Self(taker.0.digest128())
    }
}

struct Taker(Hash);

impl fmt::Write for Taker {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        self.0.update(text.as_bytes());
        Ok(())
    }
}

impl fmt::Display for Content {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:032x}", self.0)
    }
}

impl FromStr for Content {
    type Err = ();

    fn from_str(text: &str) -> Result<Self, ()> {
        let is_whole = text.len() == 32 && text.bytes().all(|byte| byte.is_ascii_hexdigit());
        u128::from_str_radix(text, 16).ok().filter(|_| is_whole).map(Self).ok_or(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The hash of nothing: the value of the published algorithm, from memory.
    #[test]
    fn the_hash_is_the_published_one_and_comes_back() {
        let nothing = Content::of_pieces(&[]);
        assert_eq!(nothing.to_string(), "99aa06d3014798d86001c324468d497f");
        assert_eq!(nothing.to_string().parse(), Ok(nothing));
        for text in ["", "99aa06d3014798d86001c324468d497", "+9aa06d3014798d86001c324468d497f"] {
            assert!(text.parse::<Content>().is_err(), "{text}");
        }
    }

    #[test]
    fn a_file_is_its_pieces() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        let bytes: Vec<u8> = (0..3 * CHUNK + 17).map(|at| (at * at % 251) as u8).collect();
        std::fs::write(&path, &bytes).unwrap();
        let (head, rest) = bytes.split_at(2048);
        assert_eq!(Content::of_file(&path).unwrap(), Content::of_pieces(&[head, rest]));
        assert_ne!(Content::of_file(&path).unwrap(), Content::of_pieces(&[rest, head]));
    }

    #[test]
    fn the_last_digit_counts() {
        assert_eq!(Content::of_value(&[0.1 + 0.2]), Content::of_value(&[0.300_000_000_000_000_04]));
        assert_ne!(Content::of_value(&[0.1 + 0.2]), Content::of_value(&[0.3]));
    }
}
