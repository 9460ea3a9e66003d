//! Numbers in layers: what the scene, a set-up and a shot add to the settings of the kit.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

/// Whose numbers are meant.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum LayerAt {
    /// Those of the whole scene.
    Scene,
    /// Those of a set-up, by its name.
    SetUp(String),
    /// Those of a shot, by its name.
    Shot(String),
}

impl fmt::Display for LayerAt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Scene => f.write_str("the scene"),
            Self::SetUp(name) => write!(f, "set-up '{name}'"),
            Self::Shot(name) => write!(f, "shot '{name}'"),
        }
    }
}

/// What one layer says of one setting. The texts are as the setting reads them, or as its trim does.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Number {
    /// Stands in place of the kit's setting; found by solving, as a rule.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub base: Option<String>,
    /// Is added on top in the setting's unit; found by matching or by hand, as a rule.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trim: Option<String>,
    /// Stand in place of the base at their frames, and between them by interpolation. In a shot's layer alone.
    #[serde(skip_serializing_if = "BTreeMap::is_empty", with = "frames_as_text")]
    pub marks: BTreeMap<i64, String>,
}

impl Number {
    /// Whether it says nothing.
    pub fn is_empty(&self) -> bool {
        self.base.is_none() && self.trim.is_none() && self.marks.is_empty()
    }
}

/// The numbers of one kit member by the key of the setting. None of them is empty.
pub type Numbers = BTreeMap<String, Number>;

/// The numbers of a layer by kit member and setting. What says nothing is not kept, so that equal layers are written
/// alike.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(from = "BTreeMap<String, Numbers>", into = "BTreeMap<String, Numbers>")]
pub struct Layer {
    members: BTreeMap<String, Numbers>,
}

impl Layer {
    /// Whether it says nothing.
    pub fn is_empty(&self) -> bool {
        self.members.is_empty()
    }

    /// The numbers by kit member.
    pub fn members(&self) -> &BTreeMap<String, Numbers> {
        &self.members
    }

    /// What it says of a setting, if anything.
    pub fn number(&self, member: &str, field: &str) -> Option<&Number> {
        self.members.get(member)?.get(field)
    }

    /// Every setting that it says something of: member and key.
    pub fn keys(&self) -> impl Iterator<Item = (&str, &str)> {
        self.members.iter().flat_map(|(member, numbers)| numbers.keys().map(|key| (member.as_str(), key.as_str())))
    }

    /// Says something of a setting in place of what was said before; an empty number takes it back.
    pub fn put(&mut self, member: &str, field: &str, number: Number) {
        if number.is_empty() {
            if let Some(numbers) = self.members.get_mut(member) {
                numbers.remove(field);
                if numbers.is_empty() {
                    self.members.remove(member);
                }
            }
        } else {
            self.members.entry(member.to_string()).or_default().insert(field.to_string(), number);
        }
    }

    /// Takes out all that it says of a member.
    pub fn take(&mut self, member: &str) -> Numbers {
        self.members.remove(member).unwrap_or_default()
    }

    /// Says something of many settings of a member; what it says of the others stays.
    pub fn give(&mut self, member: &str, numbers: Numbers) {
        for (field, number) in numbers {
            self.put(member, &field, number);
        }
    }
}

impl From<BTreeMap<String, Numbers>> for Layer {
    fn from(members: BTreeMap<String, Numbers>) -> Self {
        let mut layer = Self::default();
        for (member, numbers) in members {
            layer.give(&member, numbers);
        }
        layer
    }
}

impl From<Layer> for BTreeMap<String, Numbers> {
    fn from(layer: Layer) -> Self {
        layer.members
    }
}

/// Frame numbers are the keys of a table, and keys are texts in every written form.
mod frames_as_text {
    use super::{BTreeMap, Deserialize, Deserializer, Serializer, de};

    pub fn serialize<S: Serializer>(marks: &BTreeMap<i64, String>, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(marks.iter().map(|(frame, value)| (frame.to_string(), value)))
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<BTreeMap<i64, String>, D::Error> {
        let mut marks = BTreeMap::new();
        for (frame, value) in BTreeMap::<String, String>::deserialize(deserializer)? {
            let Ok(number) = frame.parse() else {
                return Err(de::Error::custom(format!("mark '{frame}': a frame number is wanted, for instance 1001")));
            };
            if marks.insert(number, value).is_some() {
                return Err(de::Error::custom(format!("frame {number} is marked twice; keep one of the two")));
            }
        }
        Ok(marks)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_says_nothing_is_not_kept() {
        let layer: Layer =
            serde_json::from_str(r#"{ "a": {}, "b": { "stops": {} }, "c": { "stops": { "trim": "1" } } }"#).unwrap();
        assert_eq!(layer.keys().collect::<Vec<_>>(), [("c", "stops")]);
        let mut again = layer.clone();
        again.put("c", "stops", Number::default());
        assert!(again.is_empty());
        assert_eq!(serde_json::to_string(&layer).unwrap(), r#"{"c":{"stops":{"trim":"1"}}}"#);
    }

    #[test]
    fn frames_are_written_in_the_order_of_their_numbers() {
        let number = Number {
            marks: [(1001, "1"), (-4, "0"), (99, "2")].map(|(f, v)| (f, v.to_string())).into(),
            ..Number::default()
        };
        let text = serde_json::to_string(&number).unwrap();
        assert_eq!(text, r#"{"marks":{"-4":"0","99":"2","1001":"1"}}"#);
        assert_eq!(serde_json::from_str::<Number>(&text).unwrap(), number);
    }

    #[test]
    fn what_is_no_number_says_why() {
        for (text, wanted) in [
            (r#"{ "base": "1", "shade": "2" }"#, "unknown field"),
            (r#"{ "marks": { "first": "1" } }"#, "mark 'first': a frame number is wanted"),
            (r#"{ "marks": { "1": "1", "01": "2" } }"#, "frame 1 is marked twice"),
        ] {
            let error = serde_json::from_str::<Number>(text).unwrap_err().to_string();
            assert!(error.contains(wanted), "{text}: {error}");
        }
    }
}
