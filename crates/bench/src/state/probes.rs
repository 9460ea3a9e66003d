//! Probes on the pictures, and what they read.

use std::collections::BTreeMap;

use colour::cct::cct_duv;
use colour::locus::mired_from_kelvin;
use colour::primaries::D65;
use session::beside::{Beside, Kind, Placed};

use super::{Bench, TileId};

/// A cross-hair on the active tile's picture, with which a probe is placed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cross {
    /// Where it stands, in whole pixels; none before it has been moved, which is the middle.
    pub at: Option<[f64; 2]>,
    /// The corner of an area that has been set; none for a point.
    pub corner: Option<[f64; 2]>,
}

/// What one probe reads at one place. What has no meaning there is none.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Read {
    /// The mean code of red, green and blue, or the signal in per cent where there are no codes.
    pub levels: [f64; 3],
    /// Bits of the codes; none where they are per cent.
    pub bits: Option<u32>,
    /// Stops from mid grey, of scene light alone.
    pub stops: Option<f64>,
    /// White from the target, in mired (plus is warmer) and Duv (plus is greener).
    pub white: Option<[f64; 2]>,
    /// Delta E 2000 to the target's neutral that is as light.
    pub delta_e: Option<f64>,
}

/// What a probe reads before and after the corrections of a tile.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BeforeAfter {
    /// The original.
    pub before: Option<Read>,
    /// At the tile's tap; its stops are those of the scene's light behind the corrections.
    pub after: Option<Read>,
}

/// The readings of one tile.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OfTile {
    /// The shot that was read.
    pub shot: String,
    /// One for each of its probes.
    pub probes: Vec<BeforeAfter>,
    /// Why they could not be read.
    pub fault: Option<String>,
}

/// The probes of the window.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Probes {
    /// What is kept beside the project.
    kept: Beside,
    /// Whether that file cannot be read, and so is left alone.
    unreadable: bool,
    /// A probe that is being placed.
    pub cross: Option<Cross>,
    /// The probe that is being named, by its place in the table, and its name so far.
    pub naming: Option<(usize, String)>,
    /// What was read, by tile.
    pub read: BTreeMap<TileId, OfTile>,
}

/// What is asked for of probes. They are those of the active tile's shot.
#[derive(Debug, Clone, PartialEq)]
pub enum OnProbes {
    /// Move a cross-hair on the picture, or no more.
    Cross(Option<Cross>),
    /// Place a probe: left, top, width and height in pixels.
    Place([f64; 4]),
    /// Take a probe away.
    Remove(usize),
    /// Write a name.
    Naming(Option<(usize, String)>),
    /// Name a probe.
    Name(usize, String),
    /// Say what lies under a probe.
    Kind(usize, Kind),
    /// Move a probe or give it another size; kept unless it is still under way.
    Move(usize, [f64; 4], bool),
    /// So much was read on a tile.
    Read(TileId, OfTile),
}

impl Bench {
    /// The probes of a shot.
    pub fn probes_of(&self, shot: &str) -> &[Placed] {
        self.probes.kept.probes.get(shot).map(Vec::as_slice).unwrap_or_default()
    }

    /// The light of the active tile's shot as its grey cards show it: mired and Duv, the mean of all cards that were read in the
    /// original. None where no probe is marked as one.
    pub fn measured_light(&self) -> Option<[f64; 2]> {
        let shot = self.shot()?;
        let read = self.probes.read.get(&self.wall.active).filter(|read| read.shot == shot)?;
        let cards = self.probes_of(shot).iter().zip(&read.probes).filter(|(placed, _)| placed.kind == Kind::Grey);
        let whites: Vec<[f64; 2]> = cards.filter_map(|(_, read)| read.before?.white).collect();
        // Readings are told from D65.
        let (kelvin, duv) = cct_duv(D65).ok()?;
        let mean = |at: usize| whites.iter().map(|white| white[at]).sum::<f64>() / whites.len() as f64;
        (!whites.is_empty()).then(|| [mired_from_kelvin(kelvin) + mean(0), duv + mean(1)])
    }

    /// Takes what lies beside the project.
    pub(super) fn take_beside(&mut self) {
        let Some(project) = &self.project else { return };
        match Beside::read(project.path()) {
            Ok(kept) => {
                self.table.anchor = kept.anchor.clone().filter(|name| project.document().shots.contains_key(name));
                self.probes.kept = kept;
            }
            Err(fault) => {
                self.probes.unreadable = true;
                self.message = Some(super::Message { words: fault.to_string(), wrong: true });
            }
        }
    }

    /// Writes what is kept beside the project, where it may be written.
    pub(super) fn keep_beside(&mut self) -> Result<(), String> {
        let Some(project) = self.project.as_ref().filter(|project| project.read_only().is_none()) else {
            return Ok(());
        };
        if self.probes.unreadable {
            return Ok(());
        }
        self.probes.kept.anchor.clone_from(&self.table.anchor);
        self.probes.kept.probes.retain(|_, probes| !probes.is_empty());
        self.probes.kept.write(project.path()).map_err(|fault| fault.to_string())
    }

    pub(super) fn perform_on_probes(&mut self, action: OnProbes) -> Result<(), String> {
        let shot = self.shot().map(str::to_string);
        let probes = &mut self.probes;
        let own = shot.map(|shot| probes.kept.probes.entry(shot).or_default());
        match (action, own) {
            (OnProbes::Cross(cross), _) => probes.cross = cross,
            (OnProbes::Naming(naming), _) => probes.naming = naming,
            (OnProbes::Read(tile, read), _) => drop(probes.read.insert(tile, read)),
            (_, None) => return Err("there is no shot to probe".to_string()),
            (OnProbes::Place(area), Some(own)) => {
                let free = |name: &String| own.iter().all(|probe| probe.name != *name);
                let name = (1..=own.len() + 1).map(|number| format!("probe {number}")).find(free);
                own.push(Placed { name: name.unwrap_or_default(), area, kind: Kind::default() });
                probes.cross = None;
                return self.keep_beside();
            }
            (OnProbes::Remove(at), Some(own)) => {
                if at < own.len() {
                    own.remove(at);
                }
                probes.naming = None;
                return self.keep_beside();
            }
            (OnProbes::Kind(at, kind), Some(own)) => {
                if let Some(probe) = own.get_mut(at) {
                    probe.kind = kind;
                }
                return self.keep_beside();
            }
            (OnProbes::Move(at, area, is_kept), Some(own)) => {
                if let Some(probe) = own.get_mut(at) {
                    probe.area = area;
                }
                if is_kept {
                    return self.keep_beside();
                }
            }
            (OnProbes::Name(at, name), Some(own)) => {
                probes.naming = None;
                let name = name.trim();
                if let Some(probe) = own.get_mut(at).filter(|_| !name.is_empty()) {
                    probe.name = name.to_string();
                }
                return self.keep_beside();
            }
        }
        Ok(())
    }
}
