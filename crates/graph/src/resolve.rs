//! What the layers of a shot make of the kit.
//!
//! A setting is the kit's, unless a layer gives a base: the most specific one counts, shot before set-up before scene.
//! Marks of the shot stand in place of the base: between two of them the setting is interpolated in its unit, before
//! the first and after the last it holds. Then the trims of scene, set-up and shot are added in the setting's unit,
//! and the sum must keep the hard range. So a base that is found anew keeps the trims.

use std::collections::BTreeSet;

use ops::{Op, SettingError};

use crate::{Document, Kit, Layer, LayerAt, Number};

/// Settings that say what a file holds. They belong to the shot itself.
const OF_THE_SHOT: [(&str, [&str; 3]); 1] = [("input-transform", ["encoding", "ei", "range"])];

/// Why the numbers of a layer have no meaning.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ResolveError {
    /// No such shot.
    #[error("there is no shot '{0}'")]
    NoShot(String),
    /// A shot names a set-up that there is not.
    #[error("shot '{shot}' belongs to set-up '{set_up}', which there is not")]
    NoSetUp {
        /// The shot.
        shot: String,
        /// What it names.
        set_up: String,
    },
    /// A layer has numbers for a member that the kit lacks.
    #[error("{layer} has numbers for '{member}', which is not in the kit")]
    NoMember {
        /// The layer.
        layer: LayerAt,
        /// The missing member.
        member: String,
    },
    /// A base, trim or mark that cannot be read or is outside the hard range by itself.
    #[error("{layer}, {member}: {source}")]
    Setting {
        /// The layer.
        layer: LayerAt,
        /// The member.
        member: String,
        /// What is wrong.
        source: Box<SettingError>,
    },
    /// Marks outside a shot.
    #[error("{layer}, {member} {field}: frames can be marked for a shot alone; set a base instead")]
    Marks {
        /// The layer.
        layer: LayerAt,
        /// The member.
        member: String,
        /// The setting.
        field: String,
    },
    /// A setting that says what a file holds.
    #[error("{layer}, {member} {field}: what a file holds is said of the shot itself, not in a layer")]
    OfTheShot {
        /// The layer.
        layer: LayerAt,
        /// The member.
        member: String,
        /// The setting.
        field: String,
    },
    /// What comes out with all layers together is refused.
    #[error("{whose}, {member}, with its layers added up: {source}")]
    Sum {
        /// The shot, with the frame where one is marked, or the scene.
        whose: String,
        /// The member.
        member: String,
        /// The setting, the sum and the range.
        source: Box<SettingError>,
    },
}

/// The layers that reach a shot, from the widest to the shot's own.
type Layers<'a> = Vec<(LayerAt, &'a Layer)>;

impl Document {
    /// The kit with the numbers of a shot at a frame. Without a shot the scene's numbers alone count; without a frame
    /// marked settings are as at their first mark.
    ///
    /// # Errors
    /// No such shot; numbers that cannot be read, that are for nothing in the kit, or whose sum is outside the hard
    /// range.
    pub fn resolve(&self, shot: Option<&str>, frame: Option<i64>) -> Result<Kit, ResolveError> {
        let layers = self.layers(shot)?;
        let mut kit = self.kit.clone();
        let keys: BTreeSet<_> = layers.iter().flat_map(|(_, layer)| layer.keys()).collect();
        for (member, field) in keys {
            if let Some(op) = kit.get_mut(member) {
                resolve_field(op, &layers, member, field, frame)?;
            } else {
                let without = layers.iter().find(|(_, layer)| layer.number(member, field).is_some());
                let layer = without.map_or(LayerAt::Scene, |(at, _)| at.clone());
                return Err(ResolveError::NoMember { layer, member: member.to_string() });
            }
        }
        Ok(kit)
    }

    fn layers(&self, shot: Option<&str>) -> Result<Layers<'_>, ResolveError> {
        let mut layers = vec![(LayerAt::Scene, &self.scene)];
        if let Some(name) = shot {
            let shot = self.shots.get(name).ok_or_else(|| ResolveError::NoShot(name.to_string()))?;
            if let Some(set_up) = &shot.set_up {
                let found = self.set_ups.get(set_up).ok_or_else(|| {
                    let (shot, set_up) = (name.to_string(), set_up.clone());
                    ResolveError::NoSetUp { shot, set_up }
                })?;
                layers.push((LayerAt::SetUp(set_up.clone()), &found.layer));
            }
            layers.push((LayerAt::Shot(name.to_string()), &shot.layer));
        }
        Ok(layers)
    }

    /// Checks what every layer says of every setting, and what comes out for every shot.
    pub(crate) fn check_layers(&self) -> Result<(), ResolveError> {
        let all = self.every_layer();
        let keys: BTreeSet<_> = all.iter().flat_map(|(_, layer)| layer.keys()).collect();
        for shot in self.shots.keys() {
            self.layers(Some(shot))?;
        }
        keys.into_iter().try_for_each(|(member, field)| self.check_field(member, field))
    }

    /// Checks what every layer says of the settings of one member, and what comes out for every shot.
    pub(crate) fn check_member(&self, member: &str) -> Result<(), ResolveError> {
        let all = self.every_layer();
        let keys = all.iter().flat_map(|(_, layer)| layer.keys()).filter(|(other, _)| *other == member);
        keys.collect::<BTreeSet<_>>().into_iter().try_for_each(|(member, field)| self.check_field(member, field))
    }

    /// Checks what every layer says of one setting, and what comes out for every shot.
    pub(crate) fn check_field(&self, member: &str, field: &str) -> Result<(), ResolveError> {
        for (at, layer) in self.every_layer() {
            if let Some(number) = layer.number(member, field) {
                self.check_number(&at, member, field, number)?;
            }
        }
        let shots = self.shots.keys().map(|name| Some(name.as_str()));
        shots.chain([None]).try_for_each(|shot| self.check_sums(shot, member, field))
    }

    /// Checks what a shot says of every setting, and what comes out for it.
    pub(crate) fn check_shot(&self, shot: &str) -> Result<(), ResolveError> {
        let layers = self.layers(Some(shot))?;
        let keys: BTreeSet<_> = layers.iter().flat_map(|(_, layer)| layer.keys()).collect();
        keys.into_iter().try_for_each(|(member, field)| self.check_shot_field(shot, member, field))
    }

    /// Checks what a shot says of one setting, and what comes out for it.
    pub(crate) fn check_shot_field(&self, shot: &str, member: &str, field: &str) -> Result<(), ResolveError> {
        if let Some((at, number)) =
            self.layers(Some(shot))?.pop().and_then(|(at, own)| Some((at, own.number(member, field)?)))
        {
            self.check_number(&at, member, field, number)?;
        }
        self.check_sums(Some(shot), member, field)
    }

    /// Checks what comes out of one setting for a shot at each of its marks.
    fn check_sums(&self, shot: Option<&str>, member: &str, field: &str) -> Result<(), ResolveError> {
        let Some(op) = self.kit.get(member) else { return Ok(()) };
        let layers = self.layers(shot)?;
        let own = layers.last().and_then(|(_, layer)| layer.number(member, field));
        let frames = own.into_iter().flat_map(|number| number.marks.keys().copied().map(Some));
        frames.chain([None]).try_for_each(|frame| resolve_field(&mut op.clone(), &layers, member, field, frame))
    }

    /// Every layer that there is.
    pub(crate) fn every_layer(&self) -> Layers<'_> {
        let set_ups = self.set_ups.iter().map(|(name, set_up)| (LayerAt::SetUp(name.clone()), &set_up.layer));
        let shots = self.shots.iter().map(|(name, shot)| (LayerAt::Shot(name.clone()), &shot.layer));
        std::iter::once((LayerAt::Scene, &self.scene)).chain(set_ups).chain(shots).collect()
    }

    /// Checks what one layer says of one setting by itself.
    fn check_number(&self, at: &LayerAt, member: &str, field: &str, number: &Number) -> Result<(), ResolveError> {
        let (layer, member) = (at.clone(), member.to_string());
        let Some(op) = self.kit.get(&member) else { return Err(ResolveError::NoMember { layer, member }) };
        if OF_THE_SHOT.iter().any(|(id, keys)| *id == op.id() && keys.contains(&field)) {
            return Err(ResolveError::OfTheShot { layer, member, field: field.to_string() });
        }
        if !number.marks.is_empty() && !matches!(at, LayerAt::Shot(_)) {
            return Err(ResolveError::Marks { layer, member, field: field.to_string() });
        }
        let mut texts = number.base.iter().chain(number.marks.values());
        let read = texts.try_for_each(|text| op.clone().set(field, text));
        let trim: Vec<_> = number.trim.iter().map(String::as_str).collect();
        let read = read.and_then(|()| op.sum_of_trims(field, &trim).map(|_| ()));
        read.map_err(|source| ResolveError::Setting { layer, member, source: Box::new(source) })
    }
}

/// Sets one setting to what the layers make of it.
fn resolve_field(
    op: &mut Op,
    layers: &Layers<'_>,
    member: &str,
    field: &str,
    frame: Option<i64>,
) -> Result<(), ResolveError> {
    let numbers = || layers.iter().filter_map(|(at, layer)| Some((at, layer.number(member, field)?)));
    let refuse = |layer: &LayerAt, source| {
        let (layer, member) = (layer.clone(), member.to_string());
        ResolveError::Setting { layer, member, source: Box::new(source) }
    };
    for (at, number) in numbers() {
        if let Some(base) = &number.base {
            op.set(field, base).map_err(|source| refuse(at, source))?;
        }
        set_by_marks(op, field, number, frame).map_err(|source| refuse(at, source))?;
    }
    let trims: Vec<_> = numbers().filter_map(|(_, number)| number.trim.as_deref()).collect();
    op.add_trims(field, &trims).map_err(|source| {
        let mut whose = layers.last().map_or_else(String::new, |(at, _)| at.to_string());
        if let Some(frame) = frame {
            whose += &format!(", frame {frame}");
        }
        ResolveError::Sum { whose, member: member.to_string(), source: Box::new(source) }
    })
}

/// Sets a setting as its marks say at a frame; without marks it stays.
fn set_by_marks(op: &mut Op, field: &str, number: &Number, frame: Option<i64>) -> Result<(), SettingError> {
    let frame = frame.unwrap_or(i64::MIN);
    let before = number.marks.range(..=frame).next_back();
    let after = number.marks.range(frame..).next();
    match (before, after) {
        (Some((from, first)), Some((to, second))) if from < to => {
            // Differences of any two frame numbers fit.
            let (way, whole) = (i128::from(frame) - i128::from(*from), i128::from(*to) - i128::from(*from));
            op.set_between(field, [first, second], way as f64 / whole as f64)
        }
        (Some((_, mark)), _) | (None, Some((_, mark))) => op.set(field, mark),
        (None, None) => Ok(()),
    }
}
