//! Who may write a project: one process at a time.
//!
//! A hidden file beside the project is locked by the system for as long as the process lives, so that no lock outlives
//! a process that died. What stands in it (process, machine, time) is for messages only.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use crate::store::beside;

/// The right to write a project; given back when dropped.
#[derive(Debug)]
pub(crate) struct Lock {
    path: PathBuf,
    file: Option<File>,
}

/// What came of asking for it.
pub(crate) enum Asked {
    /// It was given.
    Given(Lock),
    /// Another process has it; what is known of that one, in words.
    Held(String),
    /// The folder or the file system gives none; why, in words.
    Refused(String),
}

impl Lock {
    /// Asks for the right to write the project at `path`.
    pub fn ask(path: &Path) -> Asked {
        let path = beside(path, "lock");
        // A few times: the file may be taken away by its owner between opening and locking it.
        for _ in 0..8 {
            let mut file = match OpenOptions::new().read(true).write(true).create(true).truncate(false).open(&path) {
                Ok(file) => file,
                Err(error) => return Asked::Refused(error.to_string()),
            };
            match file.try_lock() {
                Ok(()) if !is_at(&file, &path) => continue,
                Ok(()) => {
                    // What stands in it helps people; the lock holds without it.
                    let _ = write_holder(&mut file);
                    return Asked::Given(Self { path, file: Some(file) });
                }
                Err(TryLockError::WouldBlock) => return Asked::Held(read_holder(&mut file)),
                Err(TryLockError::Error(error)) => return Asked::Refused(error.to_string()),
            }
        }
        Asked::Refused("the lock file keeps vanishing".to_string())
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        // Taken away while it is still locked: who opened it meanwhile sees that it is no longer there, and asks again.
        let _ = fs::remove_file(&self.path);
        drop(self.file.take());
    }
}

/// Whether an open file is the one that its path leads to.
#[cfg(unix)]
fn is_at(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt as _;
    match (file.metadata(), fs::metadata(path)) {
        (Ok(open), Ok(there)) => (open.dev(), open.ino()) == (there.dev(), there.ino()),
        _ => false,
    }
}

/// Elsewhere an open file cannot be taken away.
#[cfg(not(unix))]
fn is_at(_file: &File, _path: &Path) -> bool {
    true
}

fn write_holder(file: &mut File) -> io::Result<()> {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default().as_secs();
    file.set_len(0)?;
    writeln!(file, "process {} on {}, since {}", std::process::id(), media::machine(), utc(since))?;
    file.flush()
}

fn read_holder(file: &mut File) -> String {
    let mut text = String::new();
    match file.take(300).read_to_string(&mut text) {
        Ok(_) if !text.trim().is_empty() => text.trim().to_string(),
        _ => "another process".to_string(),
    }
}

/// Seconds since 1970 as a date and time in UTC.
///
/// # Source
/// The Gregorian calendar (ISO 8601): 146097 days in 400 years, counted from 1 March.
pub(crate) fn utc(seconds: u64) -> String {
    let (days, second) = (seconds / 86_400 + 719_468, seconds % 86_400);
    let (era, day) = (days / 146_097, days % 146_097);
    let year = (day - day / 1460 + day / 36_524 - day / 146_096) / 365;
    let of_year = day - (365 * year + year / 4 - year / 100);
    let month = (5 * of_year + 2) / 153;
    let date = of_year - (153 * month + 2) / 5 + 1;
    let (month, year) = if month < 10 { (month + 3, era * 400 + year) } else { (month - 9, era * 400 + year + 1) };
    format!("{year}-{month:02}-{date:02} {:02}:{:02} UTC", second / 3600, second / 60 % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_at_a_time_and_given_back() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.greywright");
        let Asked::Given(first) = Lock::ask(&path) else { panic!("nobody has it") };
        let Asked::Held(holder) = Lock::ask(&path) else { panic!("somebody has it") };
        assert!(holder.contains(&format!("process {}", std::process::id())), "{holder}");
        drop(first);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0, "nothing is left lying about");
        assert!(matches!(Lock::ask(&path), Asked::Given(_)));
        let nowhere = folder.path().join("none/a.greywright");
        assert!(matches!(Lock::ask(&nowhere), Asked::Refused(_)));
    }

    /// From `date -u -d @N`.
    #[test]
    fn seconds_are_dates() {
        assert_eq!(utc(0), "1970-01-01 00:00 UTC");
        assert_eq!(utc(951_827_696), "2000-02-29 12:34 UTC");
        assert_eq!(utc(4_102_444_799), "2099-12-31 23:59 UTC");
    }
}
