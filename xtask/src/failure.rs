//! Why a chore stopped.

use std::fmt;

/// A chore's failure; the message names the thing and the remedy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Failure {
    /// The work failed: exit code 1.
    Work(String),
    /// The command was typed wrongly: exit code 2.
    Use(String),
}

impl Failure {
    /// The work could not be done, for the reason given.
    pub fn work(message: impl Into<String>) -> Self {
        Self::Work(message.into())
    }

    /// The command line cannot be understood, for the reason given.
    pub fn wrong_use(message: impl Into<String>) -> Self {
        Self::Use(message.into())
    }

    /// 1 where work failed, 2 where the command was typed wrongly; as in the product itself.
    pub fn exit_code(&self) -> u8 {
        match self {
            Self::Work(_) => 1,
            Self::Use(_) => 2,
        }
    }

    /// Whether the chore's own syntax should be shown.
    pub fn is_wrong_use(&self) -> bool {
        matches!(self, Self::Use(_))
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Work(message) | Self::Use(message) => f.write_str(message),
        }
    }
}
