//! A queue of renders: a file that several processes change and work through at once.
//!
//! [`Queue`] is what the file holds, [`QueueFile`] the file: each change reads it, is made, and is stored whole, under a lock
//! that lasts no longer. Who works on a job holds another lock for as long as its process lives, so that nobody takes it
//! too, and so that a job whose process died is known for one.

mod deliveries;
mod file;
mod job;
mod run;

use serde::{Deserialize, Serialize};

pub use deliveries::{Delivery, Wish};
pub use file::{Claim, QueueFile};
pub use job::{Done, Job, Noise, State};
pub use run::{Ran, Runner};

use crate::Fault;

/// The version of the file's form.
pub const SCHEMA_VERSION: u32 = 1;

/// The jobs in the order in which they are taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Queue {
    /// [`SCHEMA_VERSION`].
    pub schema_version: u32,
    /// The number that the next job gets; no number is given twice.
    pub next: u32,
    /// The jobs.
    #[serde(default)]
    pub jobs: Vec<Job>,
}

impl Default for Queue {
    fn default() -> Self {
        Self { schema_version: SCHEMA_VERSION, next: 1, jobs: Vec::new() }
    }
}

impl Queue {
    /// Puts jobs at the end and numbers them.
    ///
    /// # Errors
    /// Two jobs that would write the same files.
    pub fn add(&mut self, jobs: Vec<Job>) -> Result<Vec<u32>, Fault> {
        let mut numbers = Vec::with_capacity(jobs.len());
        for mut job in jobs {
            if let Some(other) = self.jobs.iter().find(|other| other.writes_as(&job)) {
                let (out, number) = (&job.out, other.number);
                return Err(Fault::asked(if numbers.contains(&number) {
                    format!("{out}: several jobs would write these files; put {{shot}} or {{candidate}} into the name")
                } else {
                    format!("{out}: job {number} writes these files; write elsewhere, or drop that job first")
                }));
            }
            job.number = self.next;
            self.next += 1;
            numbers.push(job.number);
            self.jobs.push(job);
        }
        Ok(numbers)
    }

    /// A job by its number.
    pub fn job(&self, number: u32) -> Option<&Job> {
        self.jobs.iter().find(|job| job.number == number)
    }

    fn place_of(&self, number: u32) -> Result<usize, Fault> {
        let there = || self.jobs.iter().map(|job| job.number.to_string()).collect::<Vec<_>>();
        self.jobs.iter().position(|job| job.number == number).ok_or_else(|| {
            Fault::asked(match there() {
                none if none.is_empty() => format!("there is no job {number}; the queue is empty"),
                some => format!("there is no job {number}; there are {}", some.join(", ")),
            })
        })
    }

    /// The jobs of these numbers; all of them where none is named.
    fn named(&mut self, numbers: &[u32]) -> Result<Vec<&mut Job>, Fault> {
        for number in numbers {
            self.place_of(*number)?;
        }
        Ok(self.jobs.iter_mut().filter(|job| numbers.is_empty() || numbers.contains(&job.number)).collect())
    }

    /// Lets jobs wait until they are told to go; all where none is named. One that is running ends between two frames.
    /// Gives the numbers of those that this changes.
    ///
    /// # Errors
    /// No such job.
    pub fn pause(&mut self, numbers: &[u32]) -> Result<Vec<u32>, Fault> {
        let jobs = self.named(numbers)?.into_iter();
        Ok(jobs
            .filter(|job| matches!(job.state, State::Waiting | State::Running))
            .map(|job| {
                job.state = State::Paused;
                job.number
            })
            .collect())
    }

    /// Lets paused jobs go on; all of them where none is named. A job that is named goes again whatever became of it:
    /// what is whole of it stays. Gives the numbers of those that this changes.
    ///
    /// # Errors
    /// No such job.
    pub fn go(&mut self, numbers: &[u32]) -> Result<Vec<u32>, Fault> {
        let jobs = self.named(numbers)?.into_iter();
        let goes = |state: State| state == State::Paused || !numbers.is_empty() && state.is_over();
        Ok(jobs
            .filter(|job| goes(job.state))
            .map(|job| {
                (job.state, job.why, job.done) = (State::Waiting, None, None);
                job.number
            })
            .collect())
    }

    /// Moves a job to a place in the order, counted from 1; beyond the end is the end.
    ///
    /// # Errors
    /// No such job.
    pub fn move_to(&mut self, number: u32, place: usize) -> Result<(), Fault> {
        let job = self.jobs.remove(self.place_of(number)?);
        self.jobs.insert(place.saturating_sub(1).min(self.jobs.len()), job);
        Ok(())
    }

    /// Takes jobs out. Files that they have written stay; one that is running ends between two frames.
    ///
    /// # Errors
    /// No such job.
    pub fn take_out(&mut self, numbers: &[u32]) -> Result<(), Fault> {
        numbers.iter().try_for_each(|number| self.place_of(*number).map(drop))?;
        self.jobs.retain(|job| !numbers.contains(&job.number));
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn queue(states: &[State]) -> Queue {
        let mut queue = Queue::default();
        let jobs = states.iter().enumerate().map(|(at, state)| Job {
            state: *state,
            out: format!("out/{at}.%04d.dpx"),
            ..Job::default()
        });
        queue.add(jobs.collect()).unwrap();
        queue
    }

    fn states(queue: &Queue) -> Vec<State> {
        queue.jobs.iter().map(|job| job.state).collect()
    }

    #[test]
    fn jobs_are_paused_and_go_on() {
        use State::{Done, Failed, Paused, Running, Waiting};
        let mut it = queue(&[Waiting, Running, Done, Failed, Paused]);
        assert_eq!(it.pause(&[]).unwrap(), [1, 2]);
        assert_eq!(states(&it), [Paused, Paused, Done, Failed, Paused]);
        assert_eq!(it.go(&[2, 4]).unwrap(), [2, 4], "a job that failed goes again where it is named");
        assert_eq!(states(&it), [Paused, Waiting, Done, Waiting, Paused]);
        assert_eq!(it.go(&[]).unwrap(), [1, 5], "what is over stays over where none is named");
        assert!(it.pause(&[1, 9]).unwrap_err().to_string().contains("no job 9"));
        assert_eq!(it.jobs[0].state, Waiting, "all of it or nothing");
    }

    #[test]
    fn jobs_are_moved_and_taken_out() {
        let mut it = queue(&[State::Waiting; 4]);
        let numbers = |it: &Queue| it.jobs.iter().map(|job| job.number).collect::<Vec<_>>();
        it.move_to(3, 1).unwrap();
        assert_eq!(numbers(&it), [3, 1, 2, 4]);
        it.move_to(3, usize::MAX).unwrap();
        assert_eq!(numbers(&it), [1, 2, 4, 3]);
        it.take_out(&[2, 4]).unwrap();
        assert_eq!(numbers(&it), [1, 3]);
        assert!(it.move_to(2, 1).is_err());
        let new = Job { out: "out/9.%04d.dpx".to_string(), ..Job::default() };
        assert_eq!(it.add(vec![new.clone()]).unwrap(), [5], "no number is given twice");
        assert!(it.add(vec![new.clone()]).unwrap_err().to_string().contains("job 5 writes these files"));
        it.jobs[2].frames = Some([1, 10]);
        it.add(vec![Job { frames: Some([11, 20]), ..new }]).unwrap();
    }
}
