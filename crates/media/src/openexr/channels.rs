//! Which part and which channels of a file make the picture.

use std::path::Path;

use exr::math::Vec2;
use exr::meta::attribute::{ChannelDescription, SampleType};
use exr::meta::header::Header;
use frame::{Channels, Layout, Samples};

use crate::MediaError;
use crate::format::NATIVE;

const REMEDY: &str = "R, G, B with or without A, or one grey channel, is: render or convert the file to that";
/// One stored channel for all three colours.
const GREY: &[usize] = &[0, 1, 2];

/// The channels to read.
pub(super) struct Choice {
    /// The part of the file.
    pub part: usize,
    /// The frame's layout: half where all channels used are, else single float.
    pub layout: Layout,
    /// For each channel of the file its samples and the places in a pixel that it fills; none for the others.
    pub uses: Vec<(SampleType, &'static [usize])>,
    /// What was left out, in words.
    pub warnings: Vec<String>,
}

/// Chooses the first part that holds a picture.
pub(super) fn choose(path: &Path, headers: &[Header]) -> Result<Choice, MediaError> {
    let mut refusal = None;
    for (part, header) in headers.iter().enumerate() {
        match choose_in(path, part, header) {
            Ok(mut choice) => {
                if headers.len() > 1 {
                    choice.warnings.push(parts_in_words(headers, part));
                }
                return Ok(choice);
            }
            Err(error) => refusal = refusal.or(Some(error)),
        }
    }
    Err(refusal.unwrap_or_else(|| MediaError::damaged(path, "it holds no part")))
}

fn parts_in_words(headers: &[Header], used: usize) -> String {
    let name = |(part, header): (usize, &Header)| match &header.own_attributes.layer_name {
        Some(name) => format!("{} ({name})", part + 1),
        None => (part + 1).to_string(),
    };
    let left: Vec<String> = headers.iter().enumerate().filter(|(part, _)| *part != used).map(name).collect();
    let used = headers.get(used).map(|header| name((used, header))).unwrap_or_default();
    format!("the file has {} parts: part {used} is used; left out: {}", headers.len(), left.join(", "))
}

fn choose_in(path: &Path, part: usize, header: &Header) -> Result<Choice, MediaError> {
    let refuse = |what: String| Err(MediaError::unsupported(path, what, REMEDY));
    if header.deep {
        return refuse("deep OpenEXR".to_owned());
    }
    let list = &header.channels.list;
    if let Some(channel) = list.iter().find(|channel| channel.sampling != Vec2(1, 1)) {
        return refuse(format!("OpenEXR with the subsampled channel {}", channel.name));
    }
    let names: Vec<String> = list.iter().map(|channel| channel.name.to_string()).collect();
    let Some(wanted) = Wanted::among(&names) else {
        return refuse(format!("OpenEXR with the channels {}", names.join(", ")));
    };
    let slots_of = |name: &String| wanted.slots.iter().find(|(known, _)| known == name).map_or(&[][..], |(_, s)| *s);
    let used = |channel: &&ChannelDescription| !slots_of(&channel.name.to_string()).is_empty();
    let half = list.iter().filter(used).all(|channel| channel.sample_type == SampleType::F16);
    let samples = if half { Samples::Half } else { Samples::Float };
    let channels = if wanted.slots.iter().any(|(_, slots)| *slots == [3]) { Channels::Rgba } else { Channels::Rgb };
    let left: Vec<&str> = names.iter().filter(|name| slots_of(name).is_empty()).map(String::as_str).collect();
    let mut warnings: Vec<String> = wanted.remark.into_iter().collect();
    if !left.is_empty() {
        warnings.push(format!("channels left out: {}", left.join(", ")));
    }
    let uses = list.iter().zip(&names).map(|(channel, name)| (channel.sample_type, slots_of(name))).collect();
    Ok(Choice { part, layout: Layout::new(channels, samples, NATIVE), uses, warnings })
}

/// Channel names with their places in a pixel, and what is odd about the choice.
struct Wanted {
    slots: Vec<(String, &'static [usize])>,
    remark: Option<String>,
}

impl Wanted {
    /// R, G, B of no layer; else Y; else R, G, B of the first layer that has them; else a lone channel.
    fn among(names: &[String]) -> Option<Wanted> {
        let has = |name: &str| names.iter().any(|known| known == name);
        let of_layer = |layer: &str| {
            let name = |channel: &str| format!("{layer}{channel}");
            let all: [(&str, &'static [usize]); 4] = [("R", &[0]), ("G", &[1]), ("B", &[2]), ("A", &[3])];
            let there = all.map(|(channel, slots)| (name(channel), slots)).into_iter().filter(|(name, _)| has(name));
            ["R", "G", "B"].iter().all(|channel| has(&name(channel))).then(|| there.collect::<Vec<_>>())
        };
        if let Some(slots) = of_layer("") {
            return Some(Wanted { slots, remark: None });
        }
        if has("Y") && !has("RY") && !has("BY") {
            let mut slots = vec![("Y".to_owned(), GREY)];
            if has("A") {
                slots.push(("A".to_owned(), &[3]));
            }
            return Some(Wanted { slots, remark: None });
        }
        let layers = names.iter().filter_map(|name| name.strip_suffix('R')).filter(|layer| layer.ends_with('.'));
        for layer in layers {
            if let Some(slots) = of_layer(layer) {
                let remark = format!("no R, G, B outside layers: those of {} are used", layer.trim_end_matches('.'));
                return Some(Wanted { slots, remark: Some(remark) });
            }
        }
        match names {
            // Coverage and depth are no picture.
            [lone] if lone != "A" && lone != "Z" => {
                let remark = format!("the only channel is {lone}: it is shown as grey");
                Some(Wanted { slots: vec![(lone.clone(), GREY)], remark: Some(remark) })
            }
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chosen(names: &[&str]) -> Option<Vec<(String, &'static [usize])>> {
        let names: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
        Wanted::among(&names).map(|wanted| wanted.slots)
    }

    #[test]
    fn the_picture_is_found_among_the_channels() {
        let names = |list: &[&str]| chosen(list).map(|slots| slots.into_iter().map(|(n, _)| n).collect::<Vec<_>>());
        assert_eq!(names(&["A", "B", "G", "R", "Z"]).unwrap(), ["R", "G", "B", "A"]);
        assert_eq!(names(&["A", "Y", "left.B", "left.G", "left.R"]).unwrap(), ["Y", "A"]);
        assert_eq!(names(&["A", "key.B", "key.G", "key.R"]).unwrap(), ["key.R", "key.G", "key.B"]);
        assert_eq!(chosen(&["R"]).unwrap(), [("R".to_owned(), GREY)]);
        assert!(chosen(&["BY", "RY", "Y"]).is_none());
        assert!(chosen(&["Z"]).is_none());
        assert!(chosen(&["R", "G"]).is_none());
    }
}
