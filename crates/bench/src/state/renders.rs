//! Renders of the project: what is to be rendered next, and the queue beside the project.

use std::path::PathBuf;

use session::chain::ChainSource;
use session::queue::{Delivery, Job, QueueFile, State, Wish};

use super::Bench;

/// The ending of the queue's name beside the project.
const ENDING: &str = "queue";
/// Where frames go before another place is typed.
const TO: &str = "rendered/{candidate}/{shot}.%04d.dpx";

/// Renders as they are asked for, and as they run.
#[derive(Debug, Clone, PartialEq)]
pub struct Renders {
    /// Where frames go, from the project's folder, and how they are stored.
    pub to: String,
    /// The frames, first and last; empty for all.
    pub frames: String,
    /// The candidate for all of them; none for what each shot has chosen.
    pub candidate: Option<String>,
    /// The queue as it was seen last.
    pub seen: Seen,
    told: u64,
    changed: u64,
}

/// The queue as it was seen last. It changes by itself and is no work of the user's: it has no steps back.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Seen {
    /// The jobs in their order, each with whether a process works on it.
    pub jobs: Vec<(Job, bool)>,
    /// The one that this window works on.
    pub working: Option<Working>,
    /// What was noted of it last.
    pub note: Option<String>,
    /// Why the queue cannot be worked through.
    pub fault: Option<String>,
}

/// A job on its way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Working {
    /// Its number.
    pub job: u32,
    /// Frames that have come to their end.
    pub done: usize,
    /// Frames that there are to do.
    pub of: usize,
    /// Seconds since the first was begun.
    pub seconds: f64,
}

impl Working {
    /// Frames a second; none before one is done.
    pub fn rate(&self) -> Option<f64> {
        (self.done > 0 && self.seconds > 0.0).then(|| self.done as f64 / self.seconds)
    }

    /// Seconds that are left at this rate.
    pub fn left(&self) -> Option<f64> {
        self.rate().map(|rate| self.of.saturating_sub(self.done) as f64 / rate)
    }
}

/// What is asked for of renders.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OnRenders {
    /// Where the next ones go.
    To(String),
    /// Their frames.
    Frames(String),
    /// Their candidate.
    Candidate(Option<String>),
    /// Save the project and put the chosen shots into the queue.
    Start,
    /// Let jobs wait until they are told to go; all where none is named.
    Pause(Vec<u32>),
    /// Let them go on; those that failed go again where they are named.
    Go(Vec<u32>),
    /// Take jobs out of the queue. Files that they have written stay.
    TakeOut(Vec<u32>),
}

impl Default for Renders {
    fn default() -> Self {
        let (to, frames, candidate, seen) = (TO.to_string(), String::new(), None, Seen::default());
        Self { to, frames, candidate, seen, told: 0, changed: 0 }
    }
}

impl Renders {
    /// How often jobs were told to go, and how often the queue was changed.
    pub(crate) fn turns(&self) -> (u64, u64) {
        (self.told, self.changed)
    }

    /// Whether this window works on one.
    pub fn is_working(&self) -> bool {
        self.seen.working.is_some()
    }
}

impl Bench {
    /// The project's queue.
    pub fn queue(&self) -> Option<PathBuf> {
        self.project.as_ref().map(|project| project.path().with_extension(ENDING))
    }

    /// What would be rendered: each shot that is meant, with its candidate.
    pub fn to_render(&self) -> Vec<(String, String)> {
        let Some(document) = self.document() else { return Vec::new() };
        let mut shots: Vec<&String> = self.chosen.iter().collect();
        let active = self.tile().and_then(|tile| tile.shot.as_ref());
        if shots.is_empty() {
            shots.extend(active);
        }
        let with = |shot: &String| {
            let chosen = || document.shots.get(shot)?.candidate.clone();
            let seen = || self.tile().and_then(|tile| self.candidate_of(tile)).map(str::to_string);
            self.renders.candidate.clone().or_else(chosen).or_else(seen)
        };
        shots.into_iter().filter_map(|shot| Some((shot.clone(), with(shot)?))).collect()
    }

    /// Takes what is to be seen of running renders. This is no change of state.
    pub fn see(&mut self, seen: Seen) {
        let ended = |state: State| {
            let over = |jobs: &[(Job, bool)], number: u32| {
                jobs.iter().any(|(job, _)| job.number == number && job.state == state)
            };
            let before = self.renders.seen.jobs.iter().filter(|(job, _)| !job.state.is_over());
            before.map(|(job, _)| job.number).find(|number| over(&seen.jobs, *number))
        };
        let found = |number: u32| seen.jobs.iter().map(|(job, _)| job).find(|job| job.number == number);
        if let Some(job) = ended(State::Failed).and_then(found) {
            let why = job.why.clone().unwrap_or_default();
            self.message = Some(super::Message { words: format!("render of {}: {why}", job.title()), wrong: true });
        } else if let Some(job) = ended(State::Done).and_then(found) {
            let words = format!("{} is rendered: {}", job.title(), job.out);
            self.say(&words);
        }
        self.renders.seen = seen;
    }

    pub(super) fn perform_on_renders(&mut self, action: OnRenders) -> Result<(), String> {
        match action {
            OnRenders::To(text) => self.renders.to = text,
            OnRenders::Frames(text) => self.renders.frames = text,
            OnRenders::Candidate(name) => self.renders.candidate = name,
            OnRenders::Start => {
                let jobs = self.jobs()?;
                let count = jobs.len();
                let file = self.queue_file()?;
                // What is over is done anew: frames that are whole and would be the same stay.
                let add = |queue: &mut session::queue::Queue| {
                    queue.jobs.retain(|old| !(old.state.is_over() && jobs.iter().any(|new| old.writes_as(new))));
                    queue.add(jobs)
                };
                file.change_or_begin(add).map_err(|fault| fault.to_string())?;
                self.renders.told += 1;
                self.look(&file);
                self.say(&if count == 1 { "1 render waits".to_string() } else { format!("{count} renders wait") });
            }
            OnRenders::Pause(jobs) => self.change(|queue| queue.pause(&jobs).map(drop))?,
            OnRenders::Go(jobs) => {
                self.change(|queue| queue.go(&jobs).map(drop))?;
                self.renders.told += 1;
            }
            OnRenders::TakeOut(jobs) => self.change(|queue| queue.take_out(&jobs))?,
        }
        Ok(())
    }

    fn queue_file(&self) -> Result<QueueFile, String> {
        self.queue().map(|path| QueueFile::at(&path)).ok_or_else(|| super::apply::NO_PROJECT.to_string())
    }

    fn change(
        &mut self,
        change: impl FnOnce(&mut session::queue::Queue) -> Result<(), session::Fault>,
    ) -> Result<(), String> {
        let file = self.queue_file()?;
        file.change(change).map_err(|fault| fault.to_string())?;
        self.look(&file);
        Ok(())
    }

    /// Shows what was changed at once; the thread that renders looks for itself.
    fn look(&mut self, file: &QueueFile) {
        self.renders.changed += 1;
        let Ok(queue) = file.read() else { return };
        let is_worked_on =
            |job: &Job| self.renders.seen.jobs.iter().any(|(own, worked)| own.number == job.number && *worked);
        let jobs: Vec<(Job, bool)> = queue.jobs.into_iter().map(|job| (is_worked_on(&job), job)).map(swap).collect();
        self.renders.seen.jobs = jobs;
    }

    /// The jobs that are asked for. The project is saved first: a job reads its file.
    fn jobs(&mut self) -> Result<Vec<Job>, String> {
        let pairs = self.to_render();
        if pairs.is_empty() {
            return Err("there is no shot to render, or no candidate to render it with".to_string());
        }
        let mut delivery: Delivery = self.renders.to.parse().map_err(|why| format!("to: {why}"))?;
        let frames = frames(&self.renders.frames)?;
        let project = self.project_mut()?;
        if project.is_changed() {
            project.save().map_err(|error| error.to_string())?;
        }
        let (path, folder) = (project.path().to_owned(), project.folder());
        delivery.out = folder.join(&delivery.out).to_string_lossy().into_owned();
        let mut jobs = Vec::new();
        for (shot, candidate) in pairs {
            let wish = Wish {
                source: ChainSource { project: Some(path.clone()), ..ChainSource::default() },
                shots: vec![shot],
                candidates: vec![candidate],
                deliveries: vec![delivery.clone()],
                frames,
                ..Wish::default()
            };
            jobs.extend(wish.jobs(&folder, |_| {}).map_err(|fault| fault.to_string())?);
        }
        Ok(jobs)
    }
}

fn swap<A, B>((a, b): (A, B)) -> (B, A) {
    (b, a)
}

/// `A-B` or one number, either of them below 0 too; none for all.
///
/// # Errors
/// In words, what is wanted.
fn frames(text: &str) -> Result<Option<[i64; 2]>, String> {
    let text = text.trim();
    if text.is_empty() || text == "all" {
        return Ok(None);
    }
    let wanted = || format!("frames: '{text}': first and last are wanted, as 1001-1048, or nothing for all");
    let split = text.char_indices().skip(1).find(|(_, sign)| *sign == '-').map(|(at, _)| at);
    let (first, last) = split.map_or((text, text), |at| (&text[..at], &text[at + 1..]));
    let [first, last] = [first, last].map(|number| number.trim().parse::<i64>());
    let (first, last) = (first.map_err(|_| wanted())?, last.map_err(|_| wanted())?);
    if first <= last { Ok(Some([first, last])) } else { Err(format!("frames: {first} comes after {last}")) }
}

#[cfg(test)]
mod tests {
    use super::frames;

    #[test]
    fn frames_are_typed() {
        assert_eq!(frames(""), Ok(None));
        assert_eq!(frames(" all"), Ok(None));
        assert_eq!(frames("7"), Ok(Some([7, 7])));
        assert_eq!(frames("1001 - 1048"), Ok(Some([1001, 1048])));
        assert_eq!(frames("-3--1"), Ok(Some([-3, -1])));
        assert!(frames("9-2").unwrap_err().contains("after"));
        assert!(frames("a-2").unwrap_err().contains("1001-1048"));
    }
}
