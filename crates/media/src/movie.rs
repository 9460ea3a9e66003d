//! Movie files: known by their first bytes or their ending, and refused with the conversion to ask for.

use std::path::Path;

use crate::MediaError;

/// Endings of movie files, each with the kind of file it stands for.
const ENDINGS: [(&str, &str); 30] = [
    ("mov", "a QuickTime movie"),
    ("qt", "a QuickTime movie"),
    ("mp4", "an MP4 movie"),
    ("m4v", "an MP4 movie"),
    ("3gp", "an MP4 movie"),
    ("mxf", "an MXF movie"),
    ("mkv", "a Matroska movie"),
    ("webm", "a Matroska movie"),
    ("avi", "an AVI movie"),
    ("mpg", MPEG),
    ("mpeg", MPEG),
    ("m2v", MPEG),
    ("vob", MPEG),
    ("ts", TRANSPORT),
    ("mts", TRANSPORT),
    ("m2ts", TRANSPORT),
    ("wmv", "an ASF movie"),
    ("asf", "an ASF movie"),
    ("flv", "an FLV movie"),
    ("ogv", "an Ogg movie"),
    ("ogg", "an Ogg movie"),
    ("dv", "a DV movie"),
    ("h264", BARE),
    ("264", BARE),
    ("avc", BARE),
    ("h265", BARE),
    ("265", BARE),
    ("hevc", BARE),
    ("y4m", FRAMES),
    ("yuv", FRAMES),
];

const MPEG: &str = "an MPEG movie";
const TRANSPORT: &str = "an MPEG transport stream";
const BARE: &str = "a bare stream of compressed video";
const FRAMES: &str = "a stream of Y'CbCr frames";

/// The conversion to ask for. What a movie leaves unsaid is what goes wrong in it: the matrix and the
/// range of its codes.
const REMEDY: &str = "have it converted to an image sequence (DPX, OpenEXR, TIFF or PNG) and have said with it \
    which matrix took Y'CbCr to RGB (BT.709 or BT.2020), whether the codes have full or legal range, and the bit \
    depth, which must not be less than the movie's";

/// The kind of movie that the first bytes, or else the ending, say the file is.
///
/// # Source
/// ISO/IEC 14496-12 and the QuickTime file format (boxes), SMPTE ST 377-1 (partition pack key), RFC 8794
/// (EBML), RIFF form type `AVI `, ISO/IEC 13818-1 and -2 (pack and sequence header), RFC 3533 (Ogg); the header object
/// of ASF and the marks of FLV and of YUV4MPEG2 from memory.
pub(crate) fn kind_of(path: &Path, first: &[u8]) -> Option<&'static str> {
    match first {
        [_, _, _, _, b'f', b't', b'y', b'p', brand @ ..] => match brand {
            // Still pictures in the same boxes.
            [b'a', b'v', b'i', b'f', ..] | [b'h', b'e', b'i', b'c', ..] | [b'm', b'i', b'f', b'1', ..] => None,
            [b'q', b't', ..] => Some("a QuickTime movie"),
            _ => Some("an MP4 movie"),
        },
        [_, _, _, _, b'm', b'o', b'o', b'v', ..] | [_, _, _, _, b'm', b'd', b'a', b't', ..] => {
            Some("a QuickTime movie")
        }
        [0x06, 0x0e, 0x2b, 0x34, 0x02, 0x05, 0x01, ..] => Some("an MXF movie"),
        [0x1a, 0x45, 0xdf, 0xa3, ..] => Some("a Matroska movie"),
        [b'R', b'I', b'F', b'F', _, _, _, _, b'A', b'V', b'I', b' ', ..] => Some("an AVI movie"),
        [0, 0, 1, 0xba | 0xb3, ..] => Some(MPEG),
        [0x30, 0x26, 0xb2, 0x75, 0x8e, 0x66, 0xcf, 0x11, ..] => Some("an ASF movie"),
        [b'F', b'L', b'V', 1, ..] => Some("an FLV movie"),
        [b'O', b'g', b'g', b'S', ..] => Some("an Ogg movie"),
        [b'Y', b'U', b'V', b'4', b'M', b'P', b'E', b'G', b'2', ..] => Some(FRAMES),
        _ => by_ending(path),
    }
}

/// The kind of movie that the ending alone says.
pub(crate) fn by_ending(path: &Path) -> Option<&'static str> {
    let ending = path.extension()?.to_str()?.to_ascii_lowercase();
    ENDINGS.iter().find(|(known, _)| *known == ending).map(|(_, kind)| *kind)
}

/// Says what to ask for instead.
pub(crate) fn refusal(path: &Path, kind: &str) -> MediaError {
    MediaError::unsupported(path, kind, REMEDY)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_content_and_by_ending() {
        let kind = |name: &str, first: &[u8]| kind_of(Path::new(name), first);
        assert_eq!(kind("a.dpx", b"\0\0\0\x14ftypqt  \0\0\0\0"), Some("a QuickTime movie"));
        assert_eq!(kind("a", b"\0\0\0\x14ftypisom\0\0\0\0"), Some("an MP4 movie"));
        assert_eq!(kind("a", b"\0\0\0\x14ftypavif\0\0\0\0"), None);
        assert_eq!(kind("a", &[6, 14, 43, 52, 2, 5, 1, 1, 13, 1, 2, 1, 1, 2, 4, 0]), Some("an MXF movie"));
        assert_eq!(kind("a", b"RIFF\0\0\0\0AVI LIST"), Some("an AVI movie"));
        assert_eq!(kind("a", b"RIFF\0\0\0\0WAVEfmt "), None);
        assert_eq!(kind("deck.MOV", b""), Some("a QuickTime movie"));
        assert_eq!(kind("deck", &[0, 0, 1, 0xba, 0x44]), Some("an MPEG movie"));
        assert_eq!(kind("deck", b"OggS\0"), Some("an Ogg movie"));
        assert_eq!(kind("deck.M2TS", b"\0\0\0\0G"), Some("an MPEG transport stream"));
        assert_eq!(kind("deck.dpx", b"SDPX"), None);
        let message = refusal(Path::new("deck.mov"), "a QuickTime movie").to_string();
        for part in ["deck.mov: a QuickTime movie is not read", "image sequence", "matrix", "range", "bit depth"] {
            assert!(message.contains(part), "{part}: {message}");
        }
    }
}
