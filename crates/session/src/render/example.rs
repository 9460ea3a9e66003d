//! The frame that all frames of a sequence must be like: its first, whatever part of the sequence is rendered.

use frame::{Layout, Size};
use media::{About, Picture, Sequence};

use crate::chain::Chain;

/// What counts of a frame where another one may follow it.
#[derive(Debug, Clone)]
pub struct Example {
    /// Its number.
    pub number: i64,
    /// How it is stored.
    pub layout: Layout,
    /// How large it is.
    pub size: Size,
    /// What its file says, after what people say of it.
    pub about: About,
}

impl Example {
    /// Of a picture that was read.
    pub fn of(number: i64, picture: &Picture) -> Self {
        let Picture { frame, about } = picture;
        Self { number, layout: frame.layout(), size: frame.size(), about: about.clone() }
    }

    /// The first frame of a sequence that can be read; none where none can.
    pub fn first(sequence: &Sequence, chain: &Chain) -> Option<Self> {
        let mut pictures = sequence.frames().iter().map(|(number, path)| (*number, media::read(path)));
        let (number, picture) = pictures.find_map(|(number, picture)| Some((number, picture.ok()?)))?;
        let mut example = Self::of(number, &picture);
        chain.overrule(&mut example.about);
        Some(example)
    }
}
