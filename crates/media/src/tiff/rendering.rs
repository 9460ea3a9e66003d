//! How the picture was rendered, which has no field of its own: it is the first line of the image description, after a
//! label of ours.

const LABEL: &str = "rendering: ";

/// An image description parted into how the picture was rendered and what else it says.
pub(super) fn parted(description: &str) -> (Option<String>, String) {
    let Some(labelled) = description.strip_prefix(LABEL) else { return (None, description.to_owned()) };
    let (rendering, rest) = labelled.split_once('\n').unwrap_or((labelled, ""));
    (Some(rendering.trim().to_owned()).filter(|text| !text.is_empty()), rest.to_owned())
}

/// The image description of a picture; none where there is nothing to say.
pub(super) fn joined(rendering: Option<&String>, comment: Option<&String>) -> Option<String> {
    match (rendering, comment) {
        (Some(rendering), Some(comment)) => Some(format!("{LABEL}{rendering}\n{comment}")),
        (Some(rendering), None) => Some(format!("{LABEL}{rendering}")),
        (None, comment) => comment.cloned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_joined_is_parted_again() {
        let text = |text: &str| Some(text.to_owned()).filter(|text| !text.is_empty());
        for rendering in ["", "PQ, 1000 nits, plain"] {
            for comment in ["", "night ferry", "two\nlines", "the rendering: of a rope"] {
                let (rendering, comment) = (text(rendering), text(comment));
                let description = joined(rendering.as_ref(), comment.as_ref()).unwrap_or_default();
                assert_eq!(parted(&description), (rendering, comment.unwrap_or_default()));
            }
        }
    }
}
