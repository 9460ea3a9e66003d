//! Why an edit is refused.

use ops::SettingError;

use crate::{ResolveError, WiringError};

/// Why an edit was refused. The document is unchanged.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum EditError {
    /// No such member.
    #[error("'{0}' is not in the kit")]
    NoMember(String),
    /// A member of that name exists.
    #[error("'{0}' is in the kit already; choose another name")]
    MemberExists(String),
    /// A candidate still uses the member.
    #[error("'{member}' is used by candidate '{candidate}'; take it out there first")]
    Used {
        /// The member.
        member: String,
        /// Who uses it.
        candidate: String,
    },
    /// A setting was refused.
    #[error("{member}: {source}")]
    Setting {
        /// The member.
        member: String,
        /// Why.
        source: SettingError,
    },
    /// A text that cannot be a name.
    #[error("'{0}' is no name: a name has a letter or more, and no quotation mark or line break")]
    Name(String),
    /// No such candidate.
    #[error("there is no candidate '{0}'")]
    NoCandidate(String),
    /// A candidate of that name exists.
    #[error("there is a candidate '{0}' already; choose another name")]
    CandidateExists(String),
    /// A shot has chosen the candidate.
    #[error("shot '{shot}' has chosen candidate '{candidate}'; choose another one for it first")]
    Chosen {
        /// The candidate.
        candidate: String,
        /// The shot.
        shot: String,
    },
    /// No such place.
    #[error("candidate '{candidate}' has no place {at}")]
    NoPlace {
        /// The candidate.
        candidate: String,
        /// The index asked for.
        at: usize,
    },
    /// A place cannot stand behind itself.
    #[error("a place cannot be moved behind or into itself")]
    BehindItself,
    /// A siding is joined by a mix.
    #[error("'{0}' is no mix; a siding joins by a mix")]
    NoMix(String),
    /// Nothing to detach from.
    #[error("place {at} of candidate '{candidate}' has '{member}' for itself already")]
    OwnAlready {
        /// The candidate.
        candidate: String,
        /// The place.
        at: usize,
        /// Its member.
        member: String,
    },
    /// The wiring would have no order of work.
    #[error(transparent)]
    Wiring(#[from] WiringError),
    /// No such set-up.
    #[error("there is no set-up '{0}'")]
    NoSetUp(String),
    /// A shot belongs to the set-up.
    #[error("shot '{shot}' belongs to set-up '{set_up}'; give it another one first")]
    Inhabited {
        /// The set-up.
        set_up: String,
        /// The shot.
        shot: String,
    },
    /// No such shot.
    #[error("there is no shot '{0}'")]
    NoShot(String),
    /// The shot is locked.
    #[error("shot '{0}' is locked; unlock it first")]
    Locked(String),
    /// What the layers would say has no meaning.
    #[error(transparent)]
    Layer(#[from] ResolveError),
}
