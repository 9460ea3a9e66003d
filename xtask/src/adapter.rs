//! Is there a Vulkan adapter? Told from files alone, since this program links to no GPU library.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};

/// The parts of a Vulkan installation that were found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// Whether the loader library is there.
    pub loader: bool,
    /// The drivers' manifests, sorted.
    pub drivers: Vec<PathBuf>,
}

impl Found {
    /// Whether a loader has any driver to load.
    pub fn is_usable(&self) -> bool {
        self.loader && !self.drivers.is_empty()
    }

    /// Whether the software driver can be loaded.
    pub fn is_usable_in_software(&self) -> bool {
        self.loader && self.drivers.iter().any(|manifest| is_software(manifest))
    }
}

/// Mesa names the manifest of its software driver `lvp_icd.<machine>.json`.
fn is_software(manifest: &Path) -> bool {
    manifest.file_name().is_some_and(|name| name.to_string_lossy().starts_with("lvp_icd"))
}

/// What this machine has.
pub fn found() -> Found {
    Found { loader: library_folders().iter().any(|folder| has_below(folder, "libvulkan.so.1")), drivers: drivers() }
}

fn library_folders() -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> =
        ["/lib", "/lib64", "/usr/lib", "/usr/lib64", "/usr/local/lib", "/run/opengl-driver/lib"]
            .into_iter()
            .map(PathBuf::from)
            .collect();
    if let Some(extra) = env::var_os("LD_LIBRARY_PATH") {
        folders.extend(env::split_paths(&extra));
    }
    folders
}

/// Whether the file lies in the folder or one level below: distributions put libraries under `lib/<machine>/`.
fn has_below(folder: &Path, name: &str) -> bool {
    folder.join(name).exists()
        || fs::read_dir(folder).is_ok_and(|entries| entries.flatten().any(|entry| entry.path().join(name).exists()))
}

/// The drivers' manifests that the loader would read.
///
/// # Source
/// LoaderDriverInterface of the Khronos Vulkan loader: search folders on Linux and the variables that override them.
fn drivers() -> Vec<PathBuf> {
    for variable in ["VK_DRIVER_FILES", "VK_ICD_FILENAMES"] {
        if let Some(listed) = env::var_os(variable).filter(|value| !value.is_empty()) {
            return env::split_paths(&listed).filter(|path| path.exists()).collect();
        }
    }
    let mut found: Vec<PathBuf> = data_folders()
        .iter()
        .filter_map(|folder| fs::read_dir(folder.join("vulkan/icd.d")).ok())
        .flat_map(|entries| entries.flatten().map(|entry| entry.path()))
        .filter(|path| path.extension().is_some_and(|extension| extension == "json"))
        .collect();
    found.sort();
    found
}

fn data_folders() -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> =
        ["/etc", "/usr/local/etc", "/usr/share", "/usr/local/share", "/run/opengl-driver/share"]
            .into_iter()
            .map(PathBuf::from)
            .collect();
    for variable in ["XDG_DATA_DIRS", "XDG_DATA_HOME", "XDG_CONFIG_DIRS", "XDG_CONFIG_HOME"] {
        if let Some(listed) = env::var_os(variable) {
            folders.extend(env::split_paths(&listed).filter(|folder| folder.is_absolute()));
        }
    }
    if let Some(home) = env::var_os("HOME").map(PathBuf::from) {
        folders.push(home.join(".local/share"));
        folders.push(home.join(".config"));
    }
    folders
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn software_is_told_from_hardware() {
        let hardware = Found { loader: true, drivers: vec!["/d/radeon_icd.x86_64.json".into()] };
        assert!(hardware.is_usable() && !hardware.is_usable_in_software());
        let software = Found { loader: true, drivers: vec!["/d/lvp_icd.aarch64.json".into()] };
        assert!(software.is_usable() && software.is_usable_in_software());
    }

    #[test]
    fn a_driver_without_loader_is_of_no_use() {
        let found = Found { loader: false, drivers: vec!["/d/lvp_icd.x86_64.json".into()] };
        assert!(!found.is_usable() && !found.is_usable_in_software());
    }
}
