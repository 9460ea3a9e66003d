//! The operations as help prints them, out of the registry.

use std::fmt::Write as _;

use ops::{Domain, Field, Op, Unit};

/// Examples, then every operation with its settings.
pub fn with_operations(examples: &str) -> String {
    let mut text = format!("{examples}\n\nOperations, with where they work and their settings:\n");
    for op in Op::all() {
        let home = match op.home() {
            Domain::AsGiven => String::new(),
            home => format!(" (in {home})"),
        };
        // Writing to a string cannot fail.
        let _ = writeln!(text, "  {}{home}: {}", op.id(), op.summary());
        for field in op.fields() {
            let _ = writeln!(text, "      {}=  {}{}", field.key, field.help.trim(), range(field));
        }
    }
    let domains: Vec<_> = Domain::ALL.iter().map(|domain| domain.name()).collect();
    let _ = write!(
        text,
        "  Each but those that change the signal also takes domain= ({}), and all take bypass=true.\n\n\
         A white is 3200K (a black body), 3200K+0.004duv (above it, greener), x,y or an illuminant (D65, A, FL2, ...).",
        domains.join(", ")
    );
    text
}

fn range(field: &Field) -> String {
    let unit = match field.unit {
        Unit::None => String::new(),
        unit => format!(" {}", unit.symbol()),
    };
    match (field.hard, field.unit) {
        (Some((low, high)), Unit::Stops | Unit::Nits | Unit::Share) => {
            format!(" {low} to {high}{unit}.").replace(" .", ".")
        }
        _ => String::new(),
    }
}
