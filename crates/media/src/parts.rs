//! Files that are not whole yet: hidden, under a name that says whose they are, and locked while they are written.
//!
//! The system lets go of a lock when its process ends, however it ends. So a part that can be locked has nobody who
//! writes it any more.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
use std::path::Path;
use std::time::Duration;

use tempfile::{Builder, NamedTempFile};

const BEFORE: &str = ".greywright-";
const AFTER: &str = ".part";
/// What parts are for; whatever else is hidden here is somebody else's.
const PURPOSES: [&str; 2] = ["frame", "probe"];
/// Locks may not reach from one machine to another, so another machine's part is left alone until no frame takes so long.
const LONGEST_FRAME: Duration = Duration::from_secs(24 * 60 * 60);

/// A hidden, locked file in `folder` that vanishes unless it is given a name.
pub(crate) fn part_in(folder: &Path, purpose: &str) -> io::Result<NamedTempFile> {
    let prefix = format!("{BEFORE}{purpose}-{}-", machine());
    let mut builder = Builder::new();
    builder.prefix(&prefix).suffix(AFTER);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // What any new file gets; the process mask takes its share. The crate's own choice would keep
        // the frame from everybody else.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    // Between being made and being locked a part looks like one that was left; whoever sweeps then takes it away, and
    // the next one is tried. Where there are no locks nobody sweeps.
    loop {
        let part = builder.tempfile_in(folder)?;
        match part.as_file().try_lock() {
            Ok(()) if part.path().exists() => return Ok(part),
            Err(TryLockError::Error(_)) => return Ok(part),
            Ok(()) | Err(TryLockError::WouldBlock) => {}
        }
    }
}

/// Takes away the parts that dead processes left in a folder, and says how many there were. What somebody may still be
/// writing stays.
pub fn sweep(folder: &Path) -> usize {
    let Ok(entries) = fs::read_dir(folder) else { return 0 };
    let names = entries.flatten().filter_map(|entry| Some((entry.path(), entry.file_name().into_string().ok()?)));
    let swept = names.filter(|(path, name)| {
        let left = whose(name).and_then(|own| left(path, own));
        // Taken away while it is locked: its writer, if there is one after all, then sees that it is gone.
        left.is_some() && fs::remove_file(path).is_ok()
    });
    swept.count()
}

/// Whether a file is a part, and then whether it is of this machine.
fn whose(name: &str) -> Option<bool> {
    let inner = name.strip_prefix(BEFORE)?.strip_suffix(AFTER)?;
    let rest = PURPOSES.iter().find_map(|purpose| inner.strip_prefix(purpose)?.strip_prefix('-'))?;
    Some(rest.rsplit_once('-').is_some_and(|(machine_of_it, _)| machine_of_it == machine()))
}

/// A part that nobody writes, locked.
fn left(path: &Path, own: bool) -> Option<File> {
    let is_old = |file: &File| {
        let age = file.metadata().and_then(|data| data.modified()).ok().and_then(|time| time.elapsed().ok());
        age.is_some_and(|age| age > LONGEST_FRAME)
    };
    let file = OpenOptions::new().write(true).open(path).ok()?;
    (file.try_lock().is_ok() && (own || is_old(&file))).then_some(file)
}

/// The machine's name as it can stand in a file's: letters, digits and hyphens.
pub fn machine() -> String {
    let named = fs::read_to_string("/proc/sys/kernel/hostname").ok().map(|name| name.trim().to_string());
    let told = || ["HOSTNAME", "COMPUTERNAME"].iter().find_map(|name| std::env::var(name).ok());
    let name = named.filter(|name| !name.is_empty()).or_else(told).unwrap_or_default();
    let plain: String = name.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).take(40).collect();
    if plain.is_empty() { "this-machine".to_string() } else { plain }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_being_written_stays_and_what_was_left_goes() {
        let folder = tempfile::tempdir().unwrap();
        let writing = part_in(folder.path(), "frame").unwrap();
        let left = folder.path().join(format!(".greywright-frame-{}-aB3xYz.part", machine()));
        let of_another = folder.path().join(".greywright-frame-elsewhere-aB3xYz.part");
        let of_a_project = folder.path().join(".greywright-project-aB3xYz.part");
        for path in [&left, &of_another, &of_a_project] {
            fs::write(path, "half").unwrap();
        }
        assert_eq!(sweep(folder.path()), 1);
        assert!(writing.path().exists() && of_another.exists() && of_a_project.exists() && !left.exists());
        let old = File::options().write(true).open(&of_another).unwrap();
        old.set_modified(std::time::SystemTime::now() - 2 * LONGEST_FRAME).unwrap();
        drop(old);
        assert_eq!(sweep(folder.path()), 1, "nothing takes two days");
        assert!(!of_another.exists());
    }
}
