//! `inspect --adapters`: what could compute.

use serde::Serialize;

use crate::cli::failure::Failure;
use crate::cli::say;

#[derive(Serialize)]
struct Adapter {
    name: String,
    kind: &'static str,
    backend: String,
    driver: String,
    timestamps: bool,
}

/// Lists the graphics adapters.
pub fn list(json: bool) -> Result<(), Failure> {
    let found: Vec<Adapter> = gpu::device::adapters()
        .into_iter()
        .map(|note| Adapter {
            name: note.name,
            kind: note.kind,
            backend: note.backend,
            driver: note.driver,
            timestamps: note.timestamps,
        })
        .collect();
    if json {
        return say::json(&found);
    }
    if found.is_empty() {
        return say::result("no graphics adapter; the proof computes\n");
    }
    for adapter in found {
        let times = if adapter.timestamps { "times its work" } else { "cannot time its work" };
        say::result(&format!(
            "{}\n  {}, {}, {}, {times}\n",
            adapter.name, adapter.kind, adapter.backend, adapter.driver
        ))?;
    }
    Ok(())
}
