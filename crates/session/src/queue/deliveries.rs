//! Many jobs from one wish: shots times candidates times deliveries.

use std::path::{Path, PathBuf};
use std::str::FromStr;

use media::Depth;

use super::job::{Job, Noise};
use crate::chain::ChainSource;
use crate::engine::Executor;
use crate::paths::{whole, written};
use crate::render::Gaps;
use crate::{Fault, Tell};

/// Where frames go and how they are stored.
#[derive(Debug, Clone, PartialEq)]
pub struct Delivery {
    /// The name of the files, with `{shot}` and `{candidate}` where those go.
    pub out: String,
    /// Bits of a sample.
    pub depth: Option<Depth>,
    /// Noise before rounding.
    pub dither: Option<Noise>,
}

/// As it is typed: the name, then what else is said, as in `out/{shot}.%04d.png depth=8 dither=blue-noise`.
impl FromStr for Delivery {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let mut delivery = Self { out: text.trim().to_string(), depth: None, dither: None };
        // From the end: the name itself may hold blanks.
        while let Some((before, last)) = delivery.out.rsplit_once(' ') {
            match last.split_once('=') {
                Some(("depth", value)) => delivery.depth = Some(value.parse().map_err(|error| format!("{error}"))?),
                Some(("dither", "triangular")) => delivery.dither = Some(Noise::Triangular),
                Some(("dither", "blue-noise")) => delivery.dither = Some(Noise::BlueNoise),
                Some(("dither", "off")) => delivery.dither = None,
                Some(("dither", other)) => {
                    return Err(format!("dither={other}: off, triangular or blue-noise is wanted"));
                }
                _ => break,
            }
            delivery.out = before.trim_end().to_string();
        }
        let mut left = delivery.out.replace("{shot}", "").replace("{candidate}", "");
        left.retain(|c| matches!(c, '{' | '}'));
        if !left.is_empty() {
            return Err("the places in a name are {shot} and {candidate}".to_string());
        }
        if delivery.out.is_empty() { Err("the name of the files is missing".to_string()) } else { Ok(delivery) }
    }
}

/// What is asked for at once.
#[derive(Debug, Clone, Default)]
pub struct Wish {
    /// The chain, or the project; which shot and candidate stands below.
    pub source: ChainSource,
    /// The originals, where there is no project.
    pub original: Option<PathBuf>,
    /// The project's shots; all where none is named.
    pub shots: Vec<String>,
    /// The project's candidates; what each shot has chosen where none is named.
    pub candidates: Vec<String>,
    /// Where the frames go.
    pub deliveries: Vec<Delivery>,
    /// First and last frame.
    pub frames: Option<[i64; 2]>,
    /// What becomes of missing numbers.
    pub gaps: Option<Gaps>,
    /// What computes.
    pub executor: Option<Executor>,
}

/// A shot and a candidate; neither where there is no project.
type Pair = (Option<String>, Option<String>);

impl Wish {
    /// The jobs, for a queue in `folder`. Each chain is read once, so that what cannot be meant is said now.
    ///
    /// # Errors
    /// A project or chain that cannot be read, names of nothing.
    pub fn jobs(&self, folder: &Path, tell: Tell) -> Result<Vec<Job>, Fault> {
        let near = whole(folder);
        let path = |path: &PathBuf| written(&whole(path), &near);
        let source = &self.source;
        let base = Job {
            project: source.project.as_ref().map(path),
            chain: source.chain.clone(),
            chain_file: source.chain_file.as_ref().map(path),
            original: self.original.as_ref().map(path),
            input: source.input.clone(),
            exposure_index: source.exposure_index,
            range: source.range,
            encoding_files: source.encoding_files.iter().map(path).collect(),
            frames: self.frames,
            gaps: self.gaps,
            executor: self.executor,
            ..Job::default()
        };
        let mut jobs = Vec::new();
        for (shot, candidate) in self.pairs()? {
            ChainSource { shot: shot.clone(), candidate: candidate.clone(), ..source.clone() }.read(tell)?;
            for delivery in &self.deliveries {
                let out = named(&delivery.out, shot.as_deref(), candidate.as_deref())?;
                // A path that ends in a slash is a folder, and the slash does not survive otherwise.
                let slash = if out.ends_with('/') { "/" } else { "" };
                jobs.push(Job {
                    shot: shot.clone(),
                    candidate: candidate.clone(),
                    out: path(&PathBuf::from(&out)) + slash,
                    depth: delivery.depth,
                    dither: delivery.dither,
                    ..base.clone()
                });
            }
        }
        Ok(jobs)
    }

    /// Every shot with every candidate that it is wanted with.
    fn pairs(&self) -> Result<Vec<Pair>, Fault> {
        let Some(project) = &self.source.project else { return Ok(vec![(None, None)]) };
        let document = crate::read(project).map_err(Fault::failed)?.document;
        let in_project = |problem: String| Fault::failed(format!("{}: {problem}", project.display()));
        let shots = if self.shots.is_empty() { document.shots.keys().cloned().collect() } else { self.shots.clone() };
        if shots.is_empty() {
            return Err(in_project("it has no shot to render".to_string()));
        }
        let mut pairs = Vec::new();
        for name in shots {
            let Some(shot) = document.shots.get(&name) else {
                let names: Vec<_> = document.shots.keys().cloned().collect();
                return Err(in_project(format!("there is no shot '{name}'; there are {}", names.join(", "))));
            };
            let only = || document.candidates.keys().next().filter(|_| document.candidates.len() == 1);
            let chosen = || {
                let chosen = shot.candidate.as_ref().or_else(only).cloned();
                chosen.ok_or_else(|| in_project(format!("shot '{name}' has chosen no candidate; say which")))
            };
            let candidates = if self.candidates.is_empty() { vec![chosen()?] } else { self.candidates.clone() };
            pairs.extend(candidates.into_iter().map(|candidate| (Some(name.clone()), Some(candidate))));
        }
        Ok(pairs)
    }
}

/// A name with its places filled.
fn named(out: &str, shot: Option<&str>, candidate: Option<&str>) -> Result<String, Fault> {
    let mut name = out.to_string();
    for (place, value) in [("{shot}", shot), ("{candidate}", candidate)] {
        match value {
            // Names of a project are no folders.
            Some(value) => name = name.replace(place, &value.replace(['/', '\\'], "_")),
            None if name.contains(place) => {
                return Err(Fault::asked(format!("{out}: there is no {place} without a project")));
            }
            None => {}
        }
    }
    Ok(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn deliveries_as_they_are_typed() {
        let typed: Delivery = "for the edit/{shot}/{candidate}.%04d.png depth=8 dither=blue-noise".parse().unwrap();
        assert_eq!(typed.out, "for the edit/{shot}/{candidate}.%04d.png");
        assert_eq!((typed.depth, typed.dither), (Some(Depth::Eight), Some(Noise::BlueNoise)));
        for (text, words) in [
            ("a.%04d.dpx depth=9", "9"),
            ("a.dpx dither=white", "blue-noise"),
            ("{scene}.dpx", "{shot} and {candidate}"),
            ("", "missing"),
        ] {
            let error = text.parse::<Delivery>().unwrap_err();
            assert!(error.contains(words), "{error}");
        }
        assert!(named("{shot}.dpx", None, None).is_err());
        assert_eq!(named("{shot}-{shot}.dpx", Some("a/b"), None).unwrap(), "a_b-a_b.dpx");
    }
}
