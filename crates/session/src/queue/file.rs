//! The queue's file: read, and changed by one process at a time.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, Instant};

use super::{Job, Queue, SCHEMA_VERSION, State};
use crate::Fault;
use crate::lock::{Asked, Lock};
use crate::store;

/// A change takes some milliseconds; who waits longer for others' would wait for ever.
const LONGEST_WAIT: Duration = Duration::from_secs(20);
const PAUSE: Duration = Duration::from_millis(10);

/// A queue on disk.
#[derive(Debug, Clone)]
pub struct QueueFile {
    path: PathBuf,
}

/// The right to work on a job; given back when dropped, and when the process ends.
#[derive(Debug)]
pub struct Claim {
    _lock: Lock,
}

impl QueueFile {
    /// The queue at a path, whether it is there or not.
    pub fn at(path: &Path) -> Self {
        Self { path: fs::canonicalize(path).unwrap_or_else(|_| path.to_owned()) }
    }

    /// The folder that the paths of its jobs start from.
    pub fn folder(&self) -> PathBuf {
        store::folder_of(&self.path)
    }

    /// Whether it was begun.
    pub fn is_there(&self) -> bool {
        self.path.is_file()
    }

    fn failed(&self, problem: impl std::fmt::Display) -> Fault {
        Fault::failed(format!("{}: {problem}", self.path.display()))
    }

    /// What it holds.
    ///
    /// # Errors
    /// It is not there, or it cannot be meant.
    pub fn read(&self) -> Result<Queue, Fault> {
        let text = fs::read_to_string(&self.path).map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => self.failed("no such queue; check the spelling, or begin one with add"),
            io::ErrorKind::InvalidData => self.failed("this is not text; name a queue file"),
            _ => self.failed(format!("it cannot be read: {error}")),
        })?;
        let queue: Queue = toml::from_str(&text).map_err(|error| {
            let at = error.span().and_then(|span| text.get(..span.start));
            let line = at.map_or_else(String::new, |before| format!("line {}: ", before.matches('\n').count() + 1));
            self.failed(format!("{line}{}", error.message()))
        })?;
        if queue.schema_version > SCHEMA_VERSION {
            return Err(self.failed(format!(
                "this queue has schema version {}, and this program reads up to {SCHEMA_VERSION}; use a newer Greywright",
                queue.schema_version
            )));
        }
        Ok(queue)
    }

    /// Changes it, or leaves it as it was. Nobody else changes it meanwhile.
    ///
    /// # Errors
    /// As [`QueueFile::read`], those of the change, and a folder that takes no files.
    pub fn change<T>(&self, change: impl FnOnce(&mut Queue) -> Result<T, Fault>) -> Result<T, Fault> {
        let _lock = self.lock()?;
        self.changed(self.read()?, change)
    }

    /// As [`QueueFile::change`]; begins a queue where no file is.
    ///
    /// # Errors
    /// As [`QueueFile::change`].
    pub fn change_or_begin<T>(&self, change: impl FnOnce(&mut Queue) -> Result<T, Fault>) -> Result<T, Fault> {
        let _lock = self.lock()?;
        let queue = if self.path.exists() { self.read()? } else { Queue::default() };
        self.changed(queue, change)
    }

    fn changed<T>(&self, before: Queue, change: impl FnOnce(&mut Queue) -> Result<T, Fault>) -> Result<T, Fault> {
        store::sweep(&self.path);
        let mut queue = before.clone();
        let done = change(&mut queue)?;
        if queue != before || !self.path.exists() {
            let text = toml::to_string(&queue).map_err(|error| self.failed(error))?;
            store::store(&self.path, &text).map_err(Fault::failed)?;
        }
        Ok(done)
    }

    fn lock(&self) -> Result<Lock, Fault> {
        let started = Instant::now();
        loop {
            match Lock::ask(&self.path) {
                Asked::Given(lock) => return Ok(lock),
                Asked::Held(_) if started.elapsed() < LONGEST_WAIT => thread::sleep(PAUSE),
                Asked::Held(holder) => {
                    return Err(self.failed(format!("{holder}, does not let go of it; end that one")));
                }
                Asked::Refused(why) => {
                    let remedy = "keep it in a folder that takes files";
                    return Err(self.failed(format!("no lock can be had beside it ({why}); {remedy}")));
                }
            }
        }
    }

    fn ask(&self, number: u32) -> Asked {
        let name = self.path.file_name().unwrap_or_default().to_string_lossy();
        Lock::ask(&self.path.with_file_name(format!("{name}.job-{number}")))
    }

    /// The jobs in their order, each with whether a living process works on it.
    ///
    /// # Errors
    /// As [`QueueFile::read`].
    pub fn jobs(&self) -> Result<Vec<(Job, bool)>, Fault> {
        // Asking takes the right to a job for a moment, in which nobody shall find it taken. Where the folder takes no lock
        // nobody works either.
        let _lock = self.lock().ok();
        let jobs = self.read()?.jobs.into_iter();
        Ok(jobs
            .map(|job| {
                let is_worked_on = !job.state.is_over() && matches!(self.ask(job.number), Asked::Held(_));
                (job, is_worked_on)
            })
            .collect())
    }

    /// Takes the first job that waits, or that a process left when it died, and calls it running. None where there is
    /// none.
    ///
    /// # Errors
    /// As [`QueueFile::change`].
    pub fn take(&self) -> Result<Option<(Job, Claim)>, Fault> {
        self.change(|queue| {
            let open = queue.jobs.iter_mut().filter(|job| matches!(job.state, State::Waiting | State::Running));
            for job in open {
                match self.ask(job.number) {
                    Asked::Given(lock) => {
                        (job.state, job.why, job.done) = (State::Running, None, None);
                        return Ok(Some((job.clone(), Claim { _lock: lock })));
                    }
                    Asked::Held(_) => {}
                    Asked::Refused(why) => return Err(self.failed(format!("no lock can be had beside it ({why})"))),
                }
            }
            Ok(None)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_holds_what_the_queue_does() {
        let folder = tempfile::tempdir().unwrap();
        let file = QueueFile::at(&folder.path().join("night.queue"));
        assert!(file.read().unwrap_err().to_string().contains("no such queue"));
        let job = Job {
            chain: Some("exposure stops=1".to_string()),
            original: Some("a.%04d.dpx".to_string()),
            out: "out/".to_string(),
            depth: Some(media::Depth::Half),
            dither: Some(super::super::Noise::BlueNoise),
            frames: Some([-1, 7]),
            gaps: Some(crate::render::Gaps::Skip),
            executor: Some(crate::engine::Executor::Proof),
            ..Job::default()
        };
        file.change_or_begin(|queue| queue.add(vec![job.clone()])).unwrap();
        let read = file.read().unwrap();
        assert_eq!(read.jobs, [Job { number: 1, ..job }]);
        let refused = file.change(|queue| {
            queue.jobs.clear();
            Err::<(), _>(Fault::asked("no"))
        });
        assert!(refused.is_err());
        assert_eq!(file.read().unwrap(), read, "all of a change or nothing");
        let text = fs::read_to_string(folder.path().join("night.queue")).unwrap();
        for (from, to, words) in [
            ("half", "thick", "line 1"),
            ("out =", "mood =", "mood"),
            ("schema_version = 1", "schema_version = 9", "newer Greywright"),
        ] {
            fs::write(folder.path().join("night.queue"), text.replace(from, to)).unwrap();
            let error = file.read().unwrap_err().to_string();
            assert!(error.contains("night.queue") && error.contains(words), "{error}");
        }
    }

    #[test]
    fn a_job_is_taken_once_and_again_when_its_holder_is_gone() {
        let folder = tempfile::tempdir().unwrap();
        let file = QueueFile::at(&folder.path().join("night.queue"));
        let job = |out: &str| Job { out: out.to_string(), ..Job::default() };
        file.change_or_begin(|queue| queue.add(vec![job("a"), job("b")])).unwrap();
        let (first, claim) = file.take().unwrap().unwrap();
        let (second, _claim) = file.take().unwrap().unwrap();
        assert_eq!((first.number, second.number), (1, 2));
        assert!(file.take().unwrap().is_none());
        drop(claim);
        // It is still called running, as by a process that died.
        assert_eq!(file.read().unwrap().jobs[0].state, State::Running);
        assert_eq!(file.take().unwrap().unwrap().0.number, 1);
    }

    /// Many at once, in one process: no change is lost.
    #[test]
    fn changes_wait_for_each_other() {
        let folder = tempfile::tempdir().unwrap();
        let file = QueueFile::at(&folder.path().join("night.queue"));
        thread::scope(|scope| {
            for thread in 0..4 {
                let file = &file;
                scope.spawn(move || {
                    for at in 0..10 {
                        let job = Job { out: format!("{thread}-{at}"), ..Job::default() };
                        file.change_or_begin(|queue| queue.add(vec![job])).unwrap();
                    }
                });
            }
        });
        let numbers: Vec<u32> = file.read().unwrap().jobs.iter().map(|job| job.number).collect();
        assert_eq!(numbers, (1..=40).collect::<Vec<_>>());
    }
}
