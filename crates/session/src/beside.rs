//! What a window keeps beside a project and not in it: where probes lie, which shot is the anchor.
//!
//! `film.greywright` has it in `film.bench.toml`. It changes no picture and no number, so a project without it is whole.

use std::collections::BTreeMap;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::store;
use crate::{Fault, StoreError};

/// What lies under a probe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Anything.
    #[default]
    Any,
    /// An 18 % grey card: the shot's light is known by it.
    Grey,
    /// Skin, whose hue is to stay apart from others.
    Skin,
    /// Foliage, likewise.
    Foliage,
}

impl Kind {
    /// All kinds.
    pub const ALL: [Kind; 4] = [Kind::Any, Kind::Grey, Kind::Skin, Kind::Foliage];

    /// The next one, and the first after the last.
    #[must_use]
    pub fn next(self) -> Kind {
        let mut all = Self::ALL.into_iter().cycle();
        all.find(|kind| *kind == self);
        all.next().unwrap_or_default()
    }

    /// In a word or two; nothing is said of what may be anything.
    pub fn words(self) -> &'static str {
        match self {
            Kind::Any => "any",
            Kind::Grey => "grey card",
            Kind::Skin => "skin",
            Kind::Foliage => "foliage",
        }
    }

    fn is_any(&self) -> bool {
        *self == Kind::Any
    }
}

/// A probe on the pictures of a shot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Placed {
    /// Its name.
    pub name: String,
    /// Left, top, width and height in pixels of the original.
    pub area: [f64; 4],
    /// What lies under it.
    #[serde(default, skip_serializing_if = "Kind::is_any")]
    pub kind: Kind,
}

/// What is kept beside a project.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Beside {
    /// The shot that others are to match.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub anchor: Option<String>,
    /// The probes by shot.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub probes: BTreeMap<String, Vec<Placed>>,
}

impl Beside {
    /// The file of a project.
    pub fn path(project: &Path) -> PathBuf {
        project.with_extension("bench.toml")
    }

    /// Reads it; nothing where there is no file.
    ///
    /// # Errors
    /// A file that cannot be read, by its name.
    pub fn read(project: &Path) -> Result<Self, Fault> {
        let path = Self::path(project);
        let fault = |why: String| {
            Fault::failed(format!("{}: {why}; mend or delete it: it holds probes and the anchor alone", path.display()))
        };
        let text = match fs::read_to_string(&path) {
            Ok(text) => text,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Self::default()),
            Err(error) => return Err(fault(error.to_string())),
        };
        let beside: Self = toml::from_str(&text).map_err(|error| fault(error.to_string().trim().replace('\n', " ")))?;
        let areas = beside.probes.values().flatten().flat_map(|probe| probe.area);
        if areas.into_iter().all(f64::is_finite) { Ok(beside) } else { Err(fault("an area is no number".to_string())) }
    }

    /// Writes it whole or not at all.
    ///
    /// # Errors
    /// As [`StoreError`] says.
    pub fn write(&self, project: &Path) -> Result<(), Fault> {
        let text = toml::to_string(self).map_err(Fault::failed)?;
        store::store(&Self::path(project), &text).map_err(|error: StoreError| Fault::failed(error))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_comes_back_and_faults_are_named() {
        let folder = tempfile::tempdir().unwrap();
        let project = folder.path().join("ferry.greywright");
        assert_eq!(Beside::read(&project), Ok(Beside::default()));
        let card = Placed { name: "card".into(), area: [10.0, 20.5, 8.0, 8.0], kind: Kind::Grey };
        let beside = Beside { anchor: Some("galley 1".into()), probes: [("galley 1".into(), vec![card])].into() };
        beside.write(&project).unwrap();
        assert_eq!(Beside::read(&project), Ok(beside));
        fs::write(Beside::path(&project), "probe = 1\n").unwrap();
        let why = Beside::read(&project).unwrap_err().to_string();
        assert!(why.contains("ferry.bench.toml") && why.contains("probe") && why.contains("delete"), "{why}");
    }
}
