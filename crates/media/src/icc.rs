//! The name of an ICC profile, which is all that is taken from one: a profile is not applied.
//!
//! # Source
//! ICC.1:2022, sections 7.3 (tag table), 9.2.41 (profileDescriptionTag), 10.15 (multiLocalizedUnicodeType);
//! ICC.1:2001-04, section 6.5.17 (textDescriptionType).

/// A profile in words for the user.
pub(crate) fn in_words(profile: &[u8]) -> String {
    match name(profile) {
        Some(name) => format!("it holds an ICC profile ({name}), which is not applied"),
        None => "it holds an ICC profile, which is not applied".to_owned(),
    }
}

fn name(profile: &[u8]) -> Option<String> {
    let number = |at: usize| -> Option<usize> {
        let bytes = profile.get(at..at.checked_add(4)?)?.first_chunk()?;
        usize::try_from(u32::from_be_bytes(*bytes)).ok()
    };
    let entries = (0..number(128)?.min(100)).map(|at| 132 + 12 * at);
    let entry = entries.into_iter().find(|&at| profile.get(at..at + 4) == Some(b"desc"))?;
    let start = number(entry + 4)?;
    let text = match profile.get(start..start.checked_add(4)?)? {
        // The length counts the closing NUL.
        b"desc" => {
            let text = profile.get(start + 12..start.checked_add(12)?.checked_add(number(start + 8)?)?)?;
            String::from_utf8_lossy(text).into_owned()
        }
        // The first language will do.
        b"mluc" => {
            let (len, offset) = (number(start + 20)?, number(start + 24)?);
            let first = start.checked_add(offset)?;
            let text = profile.get(first..first.checked_add(len)?)?.as_chunks::<2>().0;
            String::from_utf16_lossy(&text.iter().map(|unit| u16::from_be_bytes(*unit)).collect::<Vec<_>>())
        }
        _ => return None,
    };
    let text: String = text.chars().filter(|c| !c.is_control()).take(80).collect();
    Some(text.trim().to_owned()).filter(|text| !text.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A profile of one tag, built from the standards' words.
    fn profile(description: &[u8]) -> Vec<u8> {
        let mut bytes = vec![0; 128];
        bytes.extend(1_u32.to_be_bytes());
        bytes.extend(b"desc");
        bytes.extend(144_u32.to_be_bytes());
        bytes.extend((description.len() as u32).to_be_bytes());
        bytes.extend(description);
        bytes
    }

    #[test]
    fn both_kinds_of_description_are_read() {
        let old = profile(b"desc\0\0\0\0\0\0\0\x05Deck\0");
        assert_eq!(name(&old).unwrap(), "Deck");
        let new = profile(b"mluc\0\0\0\0\0\0\0\x01\0\0\0\x0cenUS\0\0\0\x08\0\0\0\x1c\0D\0e\0c\0k");
        assert_eq!(name(&new).unwrap(), "Deck");
        for cut in 0..new.len() {
            let _ = name(&new[..cut]);
        }
        assert!(in_words(b"no profile").contains("not applied"));
    }
}
