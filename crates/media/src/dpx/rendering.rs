//! How the picture was rendered, in the description of its image element: 31 letters, whatever anybody writes there.

/// Letters that the description holds beside the NUL that ends it.
const ROOM: usize = super::header::at::DESCRIPTION.1 - 1;

/// What of `rendering` the field holds: where all of it is too long, its last parts are left out, which matter least.
pub(super) fn fitting(rendering: &str) -> &str {
    let ends = rendering.match_indices(", ").map(|(at, _)| at).chain([rendering.len()]);
    ends.filter(|end| *end <= ROOM).filter_map(|end| rendering.get(..end)).last().unwrap_or_default()
}

/// A description that says how the picture was rendered: a display, its peak in nits, a rendering. Others say other
/// things there.
pub(super) fn of_description(text: &str) -> Option<String> {
    let mut parts = text.trim().split(", ");
    let (_display, peak, rendering) = (parts.next()?, parts.next()?, parts.next()?);
    let nits = peak.strip_suffix(" nits")?.parse::<f64>().is_ok();
    (nits && !rendering.is_empty()).then(|| text.trim().to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_too_long_loses_what_matters_least() {
        for (rendering, fits) in [
            ("BT.1886, 100 nits, plain", "BT.1886, 100 nits, plain"),
            ("Gamma2.2, 100.25 nits, exact-31", "Gamma2.2, 100.25 nits, exact-31"),
            ("PQ, 1000 nits, plain, within P3-D65, black 0.01 nits", "PQ, 1000 nits, plain"),
            ("one word that is longer than its field", ""),
            ("", ""),
        ] {
            assert_eq!(fitting(rendering), fits);
        }
    }

    #[test]
    fn other_descriptions_are_no_rendering() {
        assert_eq!(of_description("PQ, 1000 nits, plain").as_deref(), Some("PQ, 1000 nits, plain"));
        for text in ["", "RGB", "R, G, B", "left eye, 1000 nits", "PQ, bright nits, plain", "PQ, 100 nits, "] {
            assert_eq!(of_description(text), None, "{text}");
        }
    }
}
