//! WGSL is parsed and validated before a device sees it, so that a defect names its file and line.

use naga::valid::{Capabilities, ValidationFlags, Validator};

use super::LineMap;

/// Text that is no valid WGSL.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file}:{line}: {message}")]
pub struct CheckError {
    /// The file the faulty line came from.
    pub file: String,
    /// The line in that file.
    pub line: usize,
    /// What is wrong.
    pub message: String,
}

/// Parses and validates an assembled text.
///
/// # Errors
/// The first fault, with the file and line it came from.
pub fn check(wgsl: &str, lines: &LineMap) -> Result<naga::Module, CheckError> {
    let fault = |line: Option<u32>, message: String| {
        let line = line.map_or(0, |line| line as usize);
        let (file, line) = lines.origin(line).unwrap_or(("assembled", line));
        CheckError { file: file.to_string(), line, message }
    };
    let module = naga::front::wgsl::parse_str(wgsl)
        .map_err(|error| fault(error.location(wgsl).map(|at| at.line_number), error.message().to_string()))?;
    Validator::new(ValidationFlags::all(), Capabilities::SHADER_FLOAT16_IN_FLOAT32).validate(&module).map_err(
        |error| {
            let at = error.location(wgsl).map(|at| at.line_number);
            fault(at, error.emit_to_string(wgsl))
        },
    )?;
    Ok(module)
}
