//! The ACES 2 transforms in use, each made once with its tables: by peak and limiting primaries.

use std::sync::{Arc, LazyLock, Mutex, PoisonError};

use colour::Primaries;
use colour::aces2::Aces2;

use crate::aces2_hues::Hues;

/// As many as a bench can have in sight at once; the oldest go first.
const KEPT: usize = 16;

/// A transform with its tables as the GPU reads them.
pub(crate) struct Made {
    /// The transform.
    pub transform: Aces2,
    /// Its tables.
    pub hues: Hues,
}

struct Kept {
    peak_nits: f64,
    limit: Primaries,
    made: Arc<Made>,
}

static CACHE: LazyLock<Mutex<Vec<Kept>>> = LazyLock::new(Mutex::default);

/// The transform of a tone scale's peak and limiting primaries.
pub(crate) fn aces2(peak_nits: f64, limit: &Primaries) -> Arc<Made> {
    let mut kept = CACHE.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(known) =
        kept.iter().find(|known| known.peak_nits == peak_nits && known.limit.same_chromaticities(limit))
    {
        return Arc::clone(&known.made);
    }
    if kept.len() == KEPT {
        kept.remove(0);
    }
    let transform = Aces2::new(peak_nits, limit);
    let made = Arc::new(Made { hues: Hues::new(&transform), transform });
    kept.push(Kept { peak_nits, limit: limit.clone(), made: Arc::clone(&made) });
    made
}
