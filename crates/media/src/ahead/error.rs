//! Why a frame does not come.

use std::sync::Arc;

use thiserror::Error;

use crate::MediaError;

/// Why a frame that was asked for does not come.
#[derive(Debug, Clone, Error)]
pub enum AheadError {
    /// The sequence has no such frame.
    #[error("frame {number} is missing: {}", remedy(*before, *after))]
    NotThere {
        /// The number asked for.
        number: i64,
        /// The last frame before it.
        before: Option<i64>,
        /// The first frame behind it.
        after: Option<i64>,
    },
    /// Reading was cancelled, and no play head was given since.
    #[error("reading was cancelled; say where to go on")]
    Cancelled,
    /// The file is gone or damaged.
    #[error(transparent)]
    Failed(Arc<MediaError>),
}

fn remedy(before: Option<i64>, after: Option<i64>) -> String {
    match (before, after) {
        (Some(before), Some(after)) => format!("bring it and open the sequence again, or go to {before} or {after}"),
        (Some(last), None) => format!("the last one is {last}"),
        (None, Some(first)) => format!("the first one is {first}"),
        (None, None) => "the sequence is empty".into(),
    }
}
