//! A wire's signal beside what files say of theirs.

use colour::{CodeRange, Encoding};
use ops::Signal;

/// A wire's range for the file's.
pub fn wire_range(range: frame::Range) -> CodeRange {
    match range {
        frame::Range::Full => CodeRange::Full,
        frame::Range::Legal => CodeRange::Legal,
    }
}

/// The file's range for a wire's.
pub fn file_range(range: CodeRange) -> frame::Range {
    match range {
        CodeRange::Full => frame::Range::Full,
        CodeRange::Legal => frame::Range::Legal,
    }
}

/// The encoding id that a result goes by, for the metadata of written files; none where the id would say something
/// else than the signal is, as with primaries of the user's choice.
pub fn encoding_id(signal: &Signal) -> Option<String> {
    if !signal.curve.is_linear() {
        let id = signal.curve.name.split(" EI ").next()?;
        let own = Encoding::named(id, None).is_ok_and(|encoding| encoding.primaries == signal.primaries);
        return own.then(|| id.to_string());
    }
    let ids = ["ACES2065-1", "ACEScg", "Linear-BT.709", "Linear-BT.2020", "Linear-P3-D65"];
    ids.iter()
        .find(|id| Encoding::named(id, None).is_ok_and(|encoding| encoding.primaries == signal.primaries))
        .map(|id| (*id).to_string())
}
