//! One render of a queue.

use std::path::Path;

use colour::CodeRange;
use media::Depth;
use serde::{Deserialize, Serialize};

use crate::chain::ChainSource;
use crate::engine::Executor;
use crate::paths::meant;
use crate::render::{Gaps, Order};
use crate::{Fault, Tell};

/// What becomes of a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    /// It is taken in its turn.
    #[default]
    Waiting,
    /// It is being worked on, or was when its process died.
    Running,
    /// It is not taken before it is told to go.
    Paused,
    /// All its frames are there.
    Done,
    /// It came to its end, and not all of its frames are there.
    Failed,
}

impl State {
    /// In a word.
    pub fn name(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Running => "running",
            Self::Paused => "paused",
            Self::Done => "done",
            Self::Failed => "failed",
        }
    }

    /// Whether nothing more comes of it by itself.
    pub fn is_over(self) -> bool {
        matches!(self, Self::Done | Self::Failed)
    }
}

/// Noise that is added before codes are rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Noise {
    /// White noise two codes wide.
    Triangular,
    /// Noise of high frequencies alone.
    BlueNoise,
}

/// What came of a job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Done {
    /// Frames asked for.
    pub wanted: usize,
    /// Frames that were there already.
    pub kept: usize,
    /// Frames written.
    pub written: usize,
    /// Wall time of the last run.
    pub seconds: f64,
}

/// One render: a chain over frames, with where they go and how. Paths are those of a project: from the queue's folder
/// where they lie near it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Job {
    /// Its number, which it keeps.
    pub number: u32,
    /// What becomes of it.
    pub state: State,
    /// Why it failed.
    pub why: Option<String>,
    /// The project that it is of.
    pub project: Option<String>,
    /// The project's shot.
    pub shot: Option<String>,
    /// The project's candidate.
    pub candidate: Option<String>,
    /// The chain as text, where there is no project.
    pub chain: Option<String>,
    /// The file that holds it.
    pub chain_file: Option<String>,
    /// The originals; the shot's where there is one.
    pub original: Option<String>,
    /// The encoding of the originals.
    pub input: Option<String>,
    /// Its exposure index.
    pub exposure_index: Option<u32>,
    /// The range of their codes.
    pub range: Option<CodeRange>,
    /// Encoding files.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub encoding_files: Vec<String>,
    /// Where the frames go.
    pub out: String,
    /// Bits of a sample.
    #[serde(with = "depth")]
    pub depth: Option<Depth>,
    /// Noise before rounding.
    pub dither: Option<Noise>,
    /// First and last frame.
    pub frames: Option<[i64; 2]>,
    /// What becomes of missing numbers; they end the job unless told.
    pub gaps: Option<Gaps>,
    /// What computes.
    pub executor: Option<Executor>,
    /// What came of it.
    pub done: Option<Done>,
}

/// As a depth is typed.
mod depth {
    use media::Depth;
    use serde::de::Error as _;
    use serde::{Deserialize as _, Deserializer, Serialize as _, Serializer};

    pub fn serialize<S: Serializer>(depth: &Option<Depth>, to: S) -> Result<S::Ok, S::Error> {
        depth.map(|depth| depth.to_string()).serialize(to)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Depth>, D::Error> {
        let text = Option::<String>::deserialize(from)?;
        text.map(|text| text.parse().map_err(D::Error::custom)).transpose()
    }
}

impl Job {
    /// What it is of, for people.
    pub fn title(&self) -> String {
        match (&self.shot, &self.candidate, &self.original) {
            (Some(shot), Some(candidate), _) => format!("{shot}, {candidate}"),
            (_, _, Some(original)) => original.clone(),
            _ => self.out.clone(),
        }
    }

    /// Whether it would write the files of another one.
    pub fn writes_as(&self, other: &Self) -> bool {
        self.out == other.out && self.frames == other.frames
    }

    fn source(&self, folder: &Path) -> ChainSource {
        let path = |text: &String| meant(text, folder);
        ChainSource {
            chain: self.chain.clone(),
            chain_file: self.chain_file.as_ref().map(path),
            project: self.project.as_ref().map(path),
            candidate: self.candidate.clone(),
            shot: self.shot.clone(),
            frame: None,
            input: self.input.clone(),
            exposure_index: self.exposure_index,
            range: self.range,
            encoding_files: self.encoding_files.iter().map(path).collect(),
        }
    }

    /// Its chain, and the render to carry out. What is there and whole stays.
    ///
    /// # Errors
    /// A project or chain that cannot be read, no originals.
    pub fn order(&self, folder: &Path, tell: Tell) -> Result<(crate::chain::Chain, Order), Fault> {
        let chain = self.source(folder).read(tell)?;
        let original = match &self.original {
            Some(text) => meant(text, folder),
            None => chain.media().ok_or_else(|| Fault::failed(format!("job {}: original is missing", self.number)))?,
        };
        let order = Order {
            original,
            out: meant(&self.out, folder),
            shot_sheet: None,
            frames: self.frames.map(|[first, last]| (first, last)),
            part: None,
            gaps: self.gaps.unwrap_or(Gaps::Refuse),
            depth: self.depth,
            dither: self.dither.map(|noise| match noise {
                Noise::Triangular => frame::Dither::Triangular,
                Noise::BlueNoise => frame::Dither::BlueNoise,
            }),
            resume: true,
            explain: false,
            timings: false,
            aces_container: false,
            memory_bytes: crate::render::MEMORY_BYTES,
        };
        Ok((chain, order))
    }
}
