//! What a file says beside its pixels, fact by fact, in words: for telling where a sequence changes.

use crate::About;

/// Something that a file may say and that should hold for a whole sequence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Said {
    /// The encoding of its codes.
    Encoding,
    /// The range of its codes.
    Range,
    /// Frames a second.
    Rate,
    /// The shape of a pixel.
    PixelAspect,
    /// The camera roll.
    CameraRoll,
    /// How the picture was brought to a display.
    Rendering,
}

impl Said {
    /// All of them.
    pub const ALL: [Said; 6] =
        [Said::Encoding, Said::Range, Said::Rate, Said::PixelAspect, Said::CameraRoll, Said::Rendering];

    /// What `about` says, as in `encoding LogC3` or `no encoding`.
    pub fn by(self, about: &About) -> String {
        let (name, value) = match self {
            Said::Encoding => ("encoding", about.encoding_id().map(|id| format!("encoding {id}"))),
            Said::Range => ("range", about.range.map(|range| format!("{} range", range.name()))),
            // Three decimals tell 23.976 from 24 and hide how a header rounds.
            Said::Rate => ("rate", about.rate.map(|rate| format!("{} frames a second", (rate * 1e3).round() / 1e3))),
            Said::PixelAspect => {
                let wide = |aspect: f64| format!("pixels {} times as wide as high", (aspect * 1e4).round() / 1e4);
                return about.pixel_aspect.map_or_else(|| "square pixels".to_owned(), wide);
            }
            Said::CameraRoll => ("camera roll", about.camera_roll.as_ref().map(|roll| format!("camera roll {roll}"))),
            Said::Rendering => ("rendering", about.rendering.as_ref().map(|words| format!("rendering {words}"))),
        };
        value.unwrap_or_else(|| format!("no {name}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use frame::Range;

    #[test]
    fn facts_in_words() {
        let words = |about: &About| Said::ALL.map(|said| said.by(about)).join(", ");
        assert_eq!(
            words(&About::default()),
            "no encoding, no range, no rate, square pixels, no camera roll, no rendering"
        );
        let about = About {
            encoding: Some(("LogC3".into(), "a test".into())),
            range: Some(Range::Legal),
            rate: Some(24000.0 / 1001.0),
            pixel_aspect: Some(2.0),
            camera_roll: Some("A001".into()),
            rendering: Some("BT.1886, 100 nits, plain".into()),
            ..About::default()
        };
        let told = "encoding LogC3, legal range, 23.976 frames a second, pixels 2 times as wide as high, camera roll A001, \
             rendering BT.1886, 100 nits, plain";
        assert_eq!(words(&about), told);
    }
}
