//! A screen that shows nothing: it notes what failed.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde::Serialize;
use session::playback::{Picture, Screen, Shown};

/// A frame that could not be shown.
#[derive(Debug, Clone, Serialize)]
pub struct Failed {
    /// Its number.
    pub frame: i64,
    /// Why, the last time.
    pub reason: String,
    /// How often, in a loop.
    pub times: u64,
}

/// What its screens saw.
#[derive(Debug, Clone, Default)]
pub struct Counter {
    failed: Arc<Mutex<BTreeMap<i64, Failed>>>,
}

struct Blind(Counter);

impl Counter {
    /// A screen whose pictures are counted here.
    pub fn screen(&self) -> impl Screen<Picture> + use<> {
        Blind(self.clone())
    }

    /// Forgets what was seen.
    pub fn begin_anew(&self) {
        self.lock().clear();
    }

    /// The frames that failed.
    pub fn failed(&self) -> Vec<Failed> {
        self.lock().values().cloned().collect()
    }

    fn lock(&self) -> MutexGuard<'_, BTreeMap<i64, Failed>> {
        self.failed.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Screen<Picture> for Blind {
    fn show(&mut self, shown: Shown<Picture>) {
        if let Err(reason) = shown.picture {
            let frame = shown.task.source;
            let mut failed = self.0.lock();
            let entry = failed.entry(frame).or_insert(Failed { frame, reason: String::new(), times: 0 });
            entry.reason = reason;
            entry.times += 1;
        }
    }
}
