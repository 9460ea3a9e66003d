//! Why a command ends with another code than 0.

use std::fmt::Display;

/// A message and an exit code.
#[derive(Debug)]
pub struct Failure {
    /// What is wrong and what to do; empty when it has been said already.
    pub message: String,
    /// 1: the work failed. 2: the command was typed wrongly.
    pub code: u8,
}

impl Failure {
    /// The work failed.
    pub fn work(message: impl Display) -> Self {
        Self { message: message.to_string(), code: 1 }
    }

    /// The command was typed wrongly.
    pub fn usage(message: impl Display) -> Self {
        Self { message: message.to_string(), code: 2 }
    }

    /// The work failed, and all of it has been said.
    pub fn said() -> Self {
        Self { message: String::new(), code: 1 }
    }
}

impl From<gpu::device::DeviceError> for Failure {
    fn from(error: gpu::device::DeviceError) -> Self {
        Self::work(error)
    }
}

impl From<gpu::assemble::AssembleError> for Failure {
    fn from(error: gpu::assemble::AssembleError) -> Self {
        Self::work(error)
    }
}

impl From<media::MediaError> for Failure {
    fn from(error: media::MediaError) -> Self {
        Self::work(error)
    }
}

impl From<serde_json::Error> for Failure {
    fn from(error: serde_json::Error) -> Self {
        Self::work(error)
    }
}

impl From<session::Fault> for Failure {
    fn from(fault: session::Fault) -> Self {
        match fault {
            session::Fault::Asked(words) => Self::usage(words),
            session::Fault::Failed(words) => Self::work(words),
        }
    }
}
