//! What a file says beside its pixels.

use std::collections::BTreeMap;

use frame::Range;

use crate::dpx::characteristics;

/// SMPTE ST 12 time code as files store it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Timecode {
    /// Hours, minutes, seconds and frames as eight decimal digits, one a nibble, hours in the top byte,
    /// with the flags of ST 12 in the spare bits: 01:02:03:04 is `0x01020304`.
    ///
    /// # Source
    /// SMPTE ST 268-1, television header; the same nibbles as the `TV60` packing of OpenEXR.
    pub time: u32,
    /// The eight binary groups (user bits).
    pub user: u32,
}

/// A field of text that formats have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Note {
    /// The production.
    Project,
    /// Who owns the picture.
    Copyright,
    /// The program that wrote the file.
    Creator,
    /// When it was made, in the form the file had.
    Created,
    /// The file it was made from.
    Source,
    /// Camera or scanner.
    Device,
    /// Slate, as written in the header.
    Slate,
    /// Anything else that somebody wrote about it.
    Comment,
}

/// What a file says about itself, or is to say.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct About {
    /// The id of the picture's encoding and why it is believed; `None` unless the metadata can be
    /// trusted. Writers store what their format can say of it.
    pub encoding: Option<(String, String)>,
    /// Range of the code values, where the file says so.
    pub range: Option<Range>,
    /// Time code.
    pub timecode: Option<Timecode>,
    /// Frames per second.
    pub rate: Option<f64>,
    /// Width of a pixel over its height, where the file says it and it is not 1.
    pub pixel_aspect: Option<f64>,
    /// The roll of film, tape or camera card that the frame is from, as written.
    pub camera_roll: Option<String>,
    /// What the file says of its encoding where that is often wrong and so proves nothing, in words for the
    /// user. No writer stores it.
    pub header_says: Option<String>,
    /// Transfer and colorimetric byte of a DPX header, where they are set. No writer stores them: it writes those of
    /// the encoding.
    pub characteristics: [Option<u8>; 2],
    /// Chromaticities of red, green, blue and white, x and y each, where the file says them.
    pub chromaticities: Option<[[f64; 2]; 4]>,
    /// How the picture was brought to a display, where somebody said so: display, peak and rendering, in the words of
    /// who made it. DPX and TIFF hold it among other texts.
    pub rendering: Option<String>,
    /// Texts worth carrying.
    pub notes: BTreeMap<Note, String>,
    /// What the reader left out or had to decide, in words for the user.
    pub warnings: Vec<String>,
}

impl About {
    /// The id of the encoding, if there is one.
    pub fn encoding_id(&self) -> Option<&str> {
        self.encoding.as_ref().map(|(id, _)| id.as_str())
    }

    /// How what the file says of its encoding contradicts an encoding's id, in words; `None` where it says nothing, or
    /// nothing else.
    pub fn contradicts(&self, id: &str) -> Option<String> {
        match &self.encoding {
            // A signal of BT.709 is shown on a display of BT.1886: one code by two names.
            Some((said, _))
                if said == id || [said.as_str(), id].iter().all(|id| ["BT.709", "BT.1886"].contains(id)) =>
            {
                None
            }
            Some((said, _)) => Some(format!("encoding {said}")),
            None => characteristics::contradiction(self.characteristics, id).or_else(|| {
                // The words of a rendering begin with the display.
                let display = self.rendering.as_deref()?.split(',').next()?;
                (display != id).then(|| format!("made for {display}"))
            }),
        }
    }

    pub(crate) fn note(&mut self, note: Note, text: &str) {
        let text = text.trim();
        if !text.is_empty() {
            self.notes.insert(note, text.to_owned());
        }
    }
}
