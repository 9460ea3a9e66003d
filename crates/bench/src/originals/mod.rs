//! Looks into a folder of originals while the window goes on.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::thread::JoinHandle;

use crate::state::{Action, Bench, OnOriginals};

/// One folder that is looked into.
struct Looking {
    folder: PathBuf,
    goes_on: Arc<AtomicBool>,
    answer: Receiver<Action>,
    thread: Option<JoinHandle<()>>,
}

impl Drop for Looking {
    fn drop(&mut self) {
        self.goes_on.store(false, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            // A thread that panicked has nothing left to say.
            let _ = thread.join();
        }
    }
}

/// What looks into folders.
pub struct Originals {
    context: egui::Context,
    looking: Option<Looking>,
}

impl Originals {
    /// Looks aside and wakes the window when it has seen.
    pub fn new(context: egui::Context) -> Self {
        Self { context, looking: None }
    }

    /// Looks where the state wants it to, and gives what was seen.
    pub fn follow(&mut self, bench: &Bench) -> Option<Action> {
        let wanted = bench.originals.as_ref().filter(|new| new.found.is_none()).map(|new| &new.folder);
        match wanted {
            None => self.looking = None,
            Some(folder) if self.looking.as_ref().is_none_or(|looking| looking.folder != *folder) => {
                self.looking = Some(self.look(folder));
            }
            Some(_) => {}
        }
        self.looking.as_ref().and_then(|looking| looking.answer.try_recv().ok())
    }

    fn look(&self, folder: &Path) -> Looking {
        let (sender, answer) = channel();
        let goes_on = Arc::new(AtomicBool::new(true));
        let (context, own, path) = (self.context.clone(), Arc::clone(&goes_on), folder.to_owned());
        let thread = std::thread::spawn(move || {
            let seen = session::originals::look(&path, &|| own.load(Ordering::Relaxed));
            // Nobody listens any more where something else was opened meanwhile.
            let _ = sender.send(Action::Originals(OnOriginals::Seen(seen.map_err(|fault| fault.to_string()))));
            context.request_repaint();
        });
        Looking { folder: folder.to_owned(), goes_on, answer, thread: Some(thread) }
    }
}
