//! The second window: the active picture alone, through the monitor's profile or as its codes are.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use graph::Monitor;
use serde::{Deserialize, Serialize};

use super::Bench;

/// How the second window stands.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Second {
    /// Whether it is there.
    pub open: bool,
    /// Whether it shows the page by which a monitor is set up in place of a picture.
    pub page: bool,
    /// Whether it fills its screen.
    pub full: bool,
    /// The file of the monitor's profile; none where codes are shown as they are.
    profile: Option<PathBuf>,
    /// What that file says.
    #[serde(skip)]
    monitor: Option<Arc<Monitor>>,
}

/// What is asked for of the second window.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OnSecond {
    /// Open it, or close it.
    Open(bool),
    /// Show the page by which a monitor is set up, or the picture. It opens the window.
    Page(bool),
    /// Let it fill its screen, or not.
    Full(bool),
    /// Show pictures through the profile in a file, or as they are.
    Profile(Option<PathBuf>),
}

impl Second {
    /// The monitor; none where codes are shown as they are.
    pub fn monitor(&self) -> Option<&Arc<Monitor>> {
        self.monitor.as_ref()
    }

    /// The file of its profile.
    pub fn profile(&self) -> Option<&Path> {
        self.profile.as_deref()
    }

    /// Reads the profile again, as a window that is opened anew does.
    ///
    /// # Errors
    /// In words: it cannot be read. Codes are shown as they are then.
    pub(super) fn read(&mut self) -> Result<(), String> {
        self.monitor = None;
        if let Some(path) = &self.profile {
            let monitor = session::monitor::load(path)
                .map_err(|fault| format!("{fault}; the second window shows codes as they are"))?;
            self.monitor = Some(Arc::new(monitor));
        }
        Ok(())
    }
}

impl Bench {
    pub(super) fn perform_on_second(&mut self, action: OnSecond) -> Result<(), String> {
        match action {
            OnSecond::Open(open) => self.second.open = open,
            OnSecond::Page(page) => (self.second.page, self.second.open) = (page, page || self.second.open),
            OnSecond::Full(full) => (self.second.full, self.second.open) = (full, full || self.second.open),
            OnSecond::Profile(None) => {
                (self.second.profile, self.second.monitor) = (None, None);
                self.sheet = None;
            }
            OnSecond::Profile(Some(path)) => {
                let path = std::path::absolute(&path).unwrap_or(path);
                let monitor = session::monitor::load(&path).map_err(|fault| fault.to_string())?;
                (self.second.profile, self.second.monitor) = (Some(path), Some(Arc::new(monitor)));
                self.sheet = None;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::super::Action;
    use super::super::standing::Standing;
    use super::*;

    const DESK: &str = "name = \"left of the desk\"\nprimaries = \"P3-D65\"\nwhite = \"kept\"\neotf = \"gamma 2.4\"\n\
                        peak_nits = 120\nblack_nits = 0.03\n";

    fn do_(bench: &mut Bench, action: OnSecond) {
        bench.message = None;
        bench.apply(Action::Second(action));
    }

    #[test]
    fn a_profile_is_read_or_refused_and_nothing_changes() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("desk.toml");
        let mut bench = Bench::default();
        do_(&mut bench, OnSecond::Profile(Some(path.clone())));
        assert!(bench.message.as_ref().is_some_and(|message| message.wrong && message.words.contains("desk.toml")));
        assert_eq!((bench.second.profile(), bench.second.monitor()), (None, None));
        std::fs::write(&path, DESK).unwrap();
        do_(&mut bench, OnSecond::Profile(Some(path.clone())));
        assert_eq!(bench.second.monitor().unwrap().name, "left of the desk");
        // A broken one leaves the one before.
        std::fs::write(&path, DESK.replace("gamma 2.4", "gamma 24")).unwrap();
        do_(&mut bench, OnSecond::Profile(Some(path.clone())));
        assert!(bench.message.is_some() && bench.second.monitor().is_some());
        do_(&mut bench, OnSecond::Profile(None));
        assert_eq!((bench.second.profile(), bench.second.monitor()), (None, None));
    }

    #[test]
    fn it_stands_as_before_with_its_profile_read_anew() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("desk.toml");
        std::fs::write(&path, DESK).unwrap();
        let mut bench = Bench::default();
        do_(&mut bench, OnSecond::Profile(Some(path.clone())));
        do_(&mut bench, OnSecond::Page(true));
        assert!(bench.second.open);
        let text = toml::to_string(&Standing::of(&bench)).unwrap();
        let laid = || {
            let mut bench = Bench::default();
            toml::from_str::<Standing>(&text).unwrap().lay(&mut bench);
            bench
        };
        assert_eq!(laid().second, bench.second);
        // A profile that is gone is told, and the window is there all the same.
        std::fs::remove_file(&path).unwrap();
        let again = laid();
        assert!(again.second.open && again.second.monitor().is_none() && again.second.profile().is_some());
        assert!(again.message.unwrap().words.contains("codes as they are"));
    }
}
