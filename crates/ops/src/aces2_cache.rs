//! The ACES 2 transforms in use, each made once: by peak and limiting primaries.

use std::sync::{Arc, LazyLock, Mutex, PoisonError};

use colour::Primaries;
use colour::aces2::Aces2;

/// As many as a bench can have in sight at once; the oldest go first.
const KEPT: usize = 16;

struct Kept {
    peak_nits: f64,
    limit: Primaries,
    transform: Arc<Aces2>,
}

static CACHE: LazyLock<Mutex<Vec<Kept>>> = LazyLock::new(Mutex::default);

/// The transform of a tone scale's peak and limiting primaries.
pub(crate) fn aces2(peak_nits: f64, limit: &Primaries) -> Arc<Aces2> {
    let mut kept = CACHE.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(known) =
        kept.iter().find(|known| known.peak_nits == peak_nits && known.limit.same_chromaticities(limit))
    {
        return Arc::clone(&known.transform);
    }
    if kept.len() == KEPT {
        kept.remove(0);
    }
    let transform = Arc::new(Aces2::new(peak_nits, limit));
    kept.push(Kept { peak_nits, limit: limit.clone(), transform: Arc::clone(&transform) });
    transform
}
