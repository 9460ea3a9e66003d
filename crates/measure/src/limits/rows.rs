//! A row of codes, a channel at a time, so that the loops over it stay plain.

use super::CHANNELS;
use super::area::{Area, Pixels};

/// Codes of a row, a channel at a time.
pub(super) struct Row {
    pub channels: [Vec<u16>; CHANNELS],
}

impl Row {
    pub fn new(width: u32) -> Row {
        Row { channels: [(); CHANNELS].map(|()| vec![0; width as usize]) }
    }

    /// Takes the row's part inside the area.
    pub fn read(&mut self, pixels: &Pixels<'_>, area: Area, y: u32) {
        let [red, green, blue] = &mut self.channels;
        let out = red.iter_mut().zip(green).zip(blue);
        pixels.each_in_row(area, y, out, |((red, green), blue), codes| [*red, *green, *blue] = codes);
    }

    pub fn len(&self) -> usize {
        self.channels[0].len()
    }

    /// The codes at a place below [`Row::len`]; zeros elsewhere.
    pub fn pixel(&self, at: usize) -> [u16; CHANNELS] {
        [0, 1, 2].map(|channel: usize| self.channels[channel].get(at).copied().unwrap_or(0))
    }

    /// Least and most code of each channel.
    pub fn span(&self) -> [[u16; 2]; CHANNELS] {
        [0, 1, 2].map(|channel: usize| {
            let codes = &self.channels[channel];
            codes.iter().fold([u16::MAX, 0], |[least, most], code| [least.min(*code), most.max(*code)])
        })
    }
}
