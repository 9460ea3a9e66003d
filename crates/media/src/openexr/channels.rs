//! Which part and which channels of a file make the picture.

use std::path::Path;

use exr::math::Vec2;
use exr::meta::attribute::{ChannelDescription, ChannelList, SampleType};
use exr::meta::header::Header;
use frame::{Channels, Layout, Samples};

use crate::MediaError;
use crate::format::NATIVE;

const REMEDY: &str = "half or single float R, G, B with or without A, or Y alone, is: convert the file";

/// The channels to read.
pub(super) struct Choice {
    /// The part of the file.
    pub part: usize,
    /// The frame's layout.
    pub layout: Layout,
    /// For each channel of the file the places in a pixel that it fills; none for the others.
    pub slots: Vec<Vec<usize>>,
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
                    let text = format!("the file has {} parts: part {} is used", headers.len(), part + 1);
                    choice.warnings.push(text);
                }
                return Ok(choice);
            }
            Err(error) => refusal = refusal.or(Some(error)),
        }
    }
    Err(refusal.unwrap_or_else(|| MediaError::damaged(path, "it holds no part")))
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
    let Some(wanted) = wanted_slots(&header.channels) else {
        let names: Vec<String> = list.iter().map(|channel| channel.name.to_string()).collect();
        return refuse(format!("OpenEXR with the channels {}", names.join(", ")));
    };
    let used = || list.iter().filter(|channel| !wanted_by(wanted, channel).is_empty());
    let samples = match used().next().map(|channel| channel.sample_type) {
        Some(SampleType::F16) => Samples::Half,
        Some(SampleType::F32) => Samples::Float,
        _ => return refuse("OpenEXR with unsigned integer samples".to_owned()),
    };
    let first = used().next().map(|channel| channel.sample_type);
    if let Some(odd) = used().find(|channel| Some(channel.sample_type) != first) {
        return refuse(format!("OpenEXR whose channel {} has another sample type", odd.name));
    }
    let alpha = wanted.iter().any(|(name, _)| *name == "A");
    let channels = if alpha { Channels::Rgba } else { Channels::Rgb };
    let slots: Vec<Vec<usize>> = list.iter().map(|channel| wanted_by(wanted, channel).to_vec()).collect();
    let left: Vec<String> = list
        .iter()
        .filter(|channel| wanted_by(wanted, channel).is_empty())
        .map(|channel| channel.name.to_string())
        .collect();
    let mut warnings = Vec::new();
    if !left.is_empty() {
        warnings.push(format!("channels left out: {}", left.join(", ")));
    }
    Ok(Choice { part, layout: Layout::new(channels, samples, NATIVE), slots, warnings })
}

type Slots = &'static [(&'static str, &'static [usize])];

/// Channel names with their places in a pixel, or `None` where there is no picture.
fn wanted_slots(list: &ChannelList) -> Option<Slots> {
    let has = |name: &str| list.list.iter().any(|channel| channel.name.eq(name));
    let colour = has("R") && has("G") && has("B");
    let luma = has("Y") && !has("RY") && !has("BY");
    match (colour, luma, has("A")) {
        (true, _, true) => Some(&[("R", &[0]), ("G", &[1]), ("B", &[2]), ("A", &[3])]),
        (true, _, false) => Some(&[("R", &[0]), ("G", &[1]), ("B", &[2])]),
        (false, true, true) => Some(&[("Y", &[0, 1, 2]), ("A", &[3])]),
        (false, true, false) => Some(&[("Y", &[0, 1, 2])]),
        (false, false, _) => None,
    }
}

fn wanted_by(wanted: Slots, channel: &ChannelDescription) -> &'static [usize] {
    let found = wanted.iter().find(|(name, _)| channel.name.eq(name));
    found.map_or(&[], |(_, slots)| slots)
}
