//! `cargo xtask new-op NAME`: the skeleton of an operation's room and its shader.
//!
//! The skeleton builds, passes the suites and scales light by stops. What is to be rewritten stands in single
//! guillemets, and a house test refuses any that are left.

use crate::failure::Failure;
use crate::paths;
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::path::Path;

const ROOM: &str = include_str!("room.rs.txt");
const SHADER: &str = include_str!("shader.wgsl.txt");

/// Writes `crates/ops/src/<stem>.rs` and `shaders/ops/<stem>.wgsl` and prints the line that registers them.
///
/// # Errors
/// A name that is not lower-case words joined by hyphens, or an operation that is there already.
pub fn run(arguments: &[String]) -> Result<(), Failure> {
    let [name] = arguments else {
        return Err(Failure::wrong_use("give the operation's name, as it will be typed in a chain"));
    };
    let name = Name::parse(name)?;
    let room = paths::root().join(format!("crates/ops/src/{}.rs", name.stem()));
    let shader = paths::root().join(format!("shaders/ops/{}.wgsl", name.stem()));
    if let Some(taken) = [&room, &shader].into_iter().find(|path| path.exists()) {
        return Err(Failure::work(format!("{} is there already; choose another name", taken.display())));
    }
    write_new(&room, &name.fill(ROOM))?;
    write_new(&shader, &name.fill(SHADER))?;
    println!("Wrote {} and {}.", room.display(), shader.display());
    println!("Rewrite what stands in \u{2039} \u{203a} in both, and add");
    println!("  to the list in crates/ops/src/lib.rs:  {}::{} = \"{}\",", name.stem(), name.type_name(), name.0);
    println!("  to tests/src/cases.rs, if need be:     settings that bring out what the ends of its scales do not");
    Ok(())
}

/// An operation's name as it is typed in a chain, such as `white-balance`.
struct Name(String);

impl Name {
    fn parse(text: &str) -> Result<Self, Failure> {
        let is_word = |word: &str| {
            word.starts_with(|first: char| first.is_ascii_lowercase())
                && word.chars().all(|letter| letter.is_ascii_lowercase() || letter.is_ascii_digit())
        };
        if text.split('-').all(is_word) {
            Ok(Self(text.to_owned()))
        } else {
            Err(Failure::wrong_use(format!(
                "'{text}' is no name for an operation; use lower-case words joined by hyphens, as in white-balance"
            )))
        }
    }

    /// `white_balance`: the files' stem.
    fn stem(&self) -> String {
        self.0.replace('-', "_")
    }

    /// `WhiteBalance`: the settings' type.
    fn type_name(&self) -> String {
        self.0.split('-').map(with_capital).collect()
    }

    /// `White balance`: the first words of the pages.
    fn title(&self) -> String {
        with_capital(&self.0.replace('-', " "))
    }

    fn fill(&self, template: &str) -> String {
        template
            .replace("{Title}", &self.title())
            .replace("{Type}", &self.type_name())
            .replace("{stem}", &self.stem())
            .replace("{name}", &self.0)
    }
}

fn with_capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| first.to_ascii_uppercase().to_string() + letters.as_str())
}

/// Never writes over a file.
fn write_new(path: &Path, text: &str) -> Result<(), Failure> {
    let fail = |error| Failure::work(format!("{}: {error}", path.display()));
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).map_err(fail)?;
    }
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(fail)?;
    file.write_all(text.as_bytes()).map_err(fail)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_gives_stem_type_and_title() {
        let name = Name::parse("white-balance").unwrap();
        assert_eq!(name.stem(), "white_balance");
        assert_eq!(name.type_name(), "WhiteBalance");
        assert_eq!(name.title(), "White balance");
    }

    #[test]
    fn what_is_no_name_is_refused() {
        for text in ["", "-", "a--b", "Flare", "flare_", "../flare", "2up", "flare-"] {
            assert!(Name::parse(text).is_err(), "{text:?}");
        }
    }

    #[test]
    fn templates_are_filled_whole() {
        let name = Name::parse("light-shift").unwrap();
        for filled in [name.fill(ROOM), name.fill(SHADER)] {
            for blank in ["{Title}", "{Type}", "{stem}", "{name}"] {
                assert!(!filled.contains(blank), "{blank} left");
            }
        }
        assert!(name.fill(SHADER).contains("fn op_light_shift(p: LightShift, rgb: vec3f) -> vec3f"));
        assert!(name.fill(ROOM).contains("const ID: &'static str = \"light-shift\";"));
    }
}
