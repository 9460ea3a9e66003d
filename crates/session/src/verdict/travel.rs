//! What it costs a candidate to travel as each kind of file, over a sample of the frame's pixels.

use colour::lut::Interpolation;
use graph::Elaborated;
use interchange::cdl::{CdlFile, Correction, Form};
use interchange::{cdl, clf};
use measure::verdict::{CdlPlace, Differences, bake, converted, cost, nearest_cdl};
use ops::{Cdl, Signal};
use reference::Proof;

use super::Gathered;
use super::evidence::inside;
use super::shown::{Shown, output_alone};
use crate::Fault;

/// Entries an edge of the Cube LUT that a candidate is baked into: what on-set and post tools usually take (common practice,
/// no source).
pub const CUBE: usize = 33;
/// About so many pixels of the picture are sent through what travels.
const SAMPLES: usize = 4000;
/// About so many of them are what the nearest decision list is sought over.
const FITTED: usize = 400;

/// What each kind of file costs; none where it cannot hold the candidate at all.
#[derive(Default)]
pub struct Travel {
    /// A Cube LUT over the original's signal.
    pub cube: Option<Differences>,
    /// The nearest decision list at each place where one can work.
    pub cdl: Vec<AsCdl>,
    /// A CLF.
    pub clf: Option<Differences>,
}

/// A decision list that stands for a candidate.
pub struct AsCdl {
    /// Where it works, by the name of the domain.
    pub place: &'static str,
    /// The list, as its file holds it.
    pub cdl: Cdl,
    /// What it costs.
    pub cost: Differences,
}

impl Travel {
    /// The decision list at the better place.
    pub fn best_cdl(&self) -> Option<&AsCdl> {
        self.cdl.iter().min_by(|a, b| a.cost.p95.total_cmp(&b.cost.p95))
    }
}

/// Sends the frame's pixels through the candidate as each kind of file.
///
/// # Errors
/// A file that does not come back as it was written.
pub fn travel(candidate: &Elaborated, shown: &Shown, gathered: &Gathered) -> Result<Travel, Fault> {
    let every = (gathered.region.pixels() as usize).div_ceil(SAMPLES).max(1);
    let pixels: Vec<[f64; 3]> =
        inside(&gathered.pixels, gathered.frame.size(), gathered.region).step_by(every).collect();
    let cost = |travelled: &dyn Fn([f64; 3]) -> [f64; 3]| cost(&shown.candidate, travelled, pixels.iter().copied());
    let mut travel = Travel::default();
    // No grid over the original's signal holds light.
    if gathered.tap.is_code()
        && let Some(lut) = bake(&shown.candidate, CUBE)
    {
        travel.cube = cost(&|rgb| lut.look_up(Interpolation::Tetrahedral, rgb));
    }
    travel.cdl = as_cdl(candidate, shown, gathered, &pixels, cost)?;
    // A candidate that no CLF holds has no such figure.
    if let Ok(list) = clf::of_candidate(candidate, "candidate", clf::GRID) {
        let text = clf::write(&list).map_err(Fault::failed)?;
        let file = clf::read(text.as_bytes(), "the candidate's CLF").map_err(Fault::failed)?;
        travel.clf = cost(&file.pixel());
    }
    Ok(travel)
}

/// The nearest lists on the original's code and in the log working space, each as its file holds it.
fn as_cdl(
    candidate: &Elaborated,
    shown: &Shown,
    gathered: &Gathered,
    pixels: &[[f64; 3]],
    cost: impl Fn(&dyn Fn([f64; 3]) -> [f64; 3]) -> Option<Differences>,
) -> Result<Vec<AsCdl>, Fault> {
    let original = gathered.tap.signal();
    let output = Proof::new(&output_alone(candidate));
    let (to_scene, to_log) = (converted(original, &Signal::scene()), converted(original, &Signal::log()));
    let from_log = converted(&Signal::log(), &Signal::scene());
    let on_code = CdlPlace { enter: &|rgb| rgb, show: &|rgb| output.pixel(to_scene(rgb)) };
    let on_log = CdlPlace { enter: &to_log, show: &|rgb| output.pixel(from_log(rgb)) };
    let mut found = Vec::new();
    for (name, place) in [("camera", on_code), ("log", on_log)] {
        // On light a clamped list cuts off all above one.
        if name == "camera" && !gathered.tap.is_code() {
            continue;
        }
        let fitted = pixels.iter().step_by(pixels.len().div_ceil(FITTED).max(1)).copied();
        let cdl = as_read(&nearest_cdl(&shown.candidate, &place, fitted))?;
        let cost = cost(&place.through(&cdl));
        found.extend(cost.map(|cost| AsCdl { place: name, cdl, cost }));
    }
    Ok(found)
}

/// A list as it comes back out of its file.
fn as_read(cdl: &Cdl) -> Result<Cdl, Fault> {
    let Cdl { slope, offset, power, saturation, .. } = cdl.clone();
    let correction = Correction { slope, offset, power, saturation, ..Correction::neutral("candidate") };
    let file = CdlFile {
        form: Form::Correction,
        about: cdl::About::default(),
        corrections: vec![correction],
        left_out: Vec::new(),
    };
    let text = cdl::write(&file).map_err(Fault::failed)?;
    let read = cdl::read(text.as_bytes(), "the candidate's CDL").map_err(Fault::failed)?;
    let none = || Fault::failed("the candidate's CDL holds no correction");
    let Correction { slope, offset, power, saturation, .. } = read.corrections.into_iter().next().ok_or_else(none)?;
    Ok(Cdl { slope, offset, power, saturation, clamp: true })
}
