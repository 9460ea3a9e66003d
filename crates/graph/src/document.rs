//! The kit and its candidates, as they are kept in a project.

use std::collections::BTreeMap;

use ops::{Op, SettingError};
use serde::{Deserialize, Serialize};

use crate::{Layer, ResolveError, SetUp, Shot, Wiring, WiringError};

/// The version of the written form. It rises when an older program could not read a newer document.
pub const SCHEMA_VERSION: u32 = 2;

/// The operations of a project by name: a setting changed here changes in every candidate that uses it.
pub type Kit = BTreeMap<String, Op>;

/// One kit, many orders, and the numbers of the shots. [`Document::resolve`] says what a shot makes of the kit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Document {
    /// See [`SCHEMA_VERSION`].
    pub schema_version: u32,
    /// The operations.
    pub kit: Kit,
    /// The wirings under comparison, by name.
    pub candidates: BTreeMap<String, Wiring>,
    /// The numbers that all shots share.
    #[serde(default, skip_serializing_if = "Layer::is_empty")]
    pub scene: Layer,
    /// Set-ups by name.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub set_ups: BTreeMap<String, SetUp>,
    /// Shots by name.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub shots: BTreeMap<String, Shot>,
}

impl Default for Document {
    fn default() -> Self {
        Self {
            schema_version: SCHEMA_VERSION,
            kit: Kit::new(),
            candidates: BTreeMap::new(),
            scene: Layer::default(),
            set_ups: BTreeMap::new(),
            shots: BTreeMap::new(),
        }
    }
}

/// Why a document cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum DocumentError {
    /// Not the JSON of a document.
    #[error("not a Greywright document: {0}")]
    Json(#[from] serde_json::Error),
    /// Written by a newer program.
    #[error(
        "the document has schema version {found}, this program reads up to {SCHEMA_VERSION}; open it with a newer Greywright"
    )]
    Newer {
        /// Its version.
        found: u32,
    },
    /// A setting outside its hard range.
    #[error("kit member '{member}': {source}")]
    Setting {
        /// The member.
        member: String,
        /// What is wrong.
        source: SettingError,
    },
    /// A text that cannot be a name.
    #[error("'{0}' is no name: a name has a letter or more, and no quotation mark or line break")]
    Name(String),
    /// A wiring names a member that the kit lacks.
    #[error("candidate '{candidate}' uses '{member}', which is not in the kit")]
    NoMember {
        /// The candidate.
        candidate: String,
        /// The missing member.
        member: String,
    },
    /// A wiring that has no order of work.
    #[error("candidate '{candidate}': {source}")]
    Wiring {
        /// The candidate.
        candidate: String,
        /// What is wrong.
        source: WiringError,
    },
    /// Numbers of a layer without a meaning.
    #[error(transparent)]
    Layer(#[from] ResolveError),
    /// A shot names a candidate that there is not.
    #[error("shot '{shot}' has chosen candidate '{candidate}', which there is not")]
    NoCandidate {
        /// The shot.
        shot: String,
        /// What it names.
        candidate: String,
    },
}

/// Whether a text can name something: the lines of places and the keys of tables must be able to hold it.
pub(crate) fn is_name(text: &str) -> bool {
    !text.trim().is_empty() && !text.contains(|c: char| c == '"' || c.is_control())
}

impl Document {
    /// Reads a document and checks all of it: version, hard ranges, members, wirings, layers.
    ///
    /// # Errors
    /// The first thing wrong, by name.
    pub fn from_json(text: &str) -> Result<Self, DocumentError> {
        #[derive(Deserialize)]
        struct Version {
            schema_version: u32,
        }
        let Version { schema_version } = serde_json::from_str(text)?;
        if schema_version > SCHEMA_VERSION {
            return Err(DocumentError::Newer { found: schema_version });
        }
        let document: Self = serde_json::from_str(text)?;
        document.check()?;
        Ok(document)
    }

    /// Writes it, readable and in a fixed order.
    ///
    /// # Errors
    /// None that a valid document causes.
    pub fn to_json(&self) -> Result<String, DocumentError> {
        Ok(serde_json::to_string_pretty(self)? + "\n")
    }

    /// Checks hard ranges, members, wirings, and what the layers make of them for every shot.
    ///
    /// # Errors
    /// The first thing wrong, by name.
    pub fn check(&self) -> Result<(), DocumentError> {
        let names = self.kit.keys().chain(self.candidates.keys()).chain(self.set_ups.keys()).chain(self.shots.keys());
        if let Some(name) = names.into_iter().find(|name| !is_name(name)) {
            return Err(DocumentError::Name(name.clone()));
        }
        for (member, op) in &self.kit {
            op.check().map_err(|source| DocumentError::Setting { member: member.clone(), source })?;
        }
        for (candidate, wiring) in &self.candidates {
            wiring.in_order().map_err(|source| DocumentError::Wiring { candidate: candidate.clone(), source })?;
            for place in wiring.graph().node_weights() {
                if !self.kit.contains_key(&place.member) {
                    let (candidate, member) = (candidate.clone(), place.member.clone());
                    return Err(DocumentError::NoMember { candidate, member });
                }
            }
        }
        for (shot, Shot { candidate, .. }) in &self.shots {
            if let Some(candidate) = candidate.as_ref().filter(|&name| !self.candidates.contains_key(name)) {
                return Err(DocumentError::NoCandidate { shot: shot.clone(), candidate: candidate.clone() });
            }
        }
        Ok(self.check_layers()?)
    }
}
