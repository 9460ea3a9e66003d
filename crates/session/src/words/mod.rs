//! Edits in words, as the command line takes them: a verb, names and `key=value` pairs, like the operations of a chain.

mod phrase;
mod places;
mod shots;

use std::path::Path;

use graph::{Document, Edit, EditError, LayerAt};
use ops::{Book, Op};

use crate::paths;
use phrase::Phrase;

/// What can be said, and what it does: one line each, for help.
pub const VERBS: [(&str, &str); 24] = [
    ("set MEMBER KEY=VALUE...", "a setting of the kit, in every candidate that uses it"),
    ("set MEMBER KEY=VALUE... scene=true|set-up=S|shots=A,B", "its base for the scene, a set-up or shots; trims stay"),
    ("trim MEMBER KEY=VALUE... scene=true|set-up=S|shots=A,B", "what is added on top, in place of an earlier trim"),
    ("nudge MEMBER KEY=AMOUNT... shots=A,B", "adds to the trims of many shots at once"),
    ("mark MEMBER KEY=VALUE... shot=A frame=N", "a setting at a frame; between marks it is interpolated"),
    ("add MEMBER operation=NAME [KEY=VALUE...]", "puts an operation into the kit"),
    ("insert MEMBER candidate=C [SPOT] [domain=D] [bypass=true]", "puts a member into a candidate"),
    ("move candidate=C at=N SPOT", "changes the order"),
    ("remove candidate=C at=N", "takes a place out"),
    ("bypass candidate=C at=N [on=false]", "lets the picture go past a place"),
    ("domain candidate=C at=N in=D|home", "where a place works"),
    ("branch MEMBER candidate=C mix=MEMBER [from=N] SPOT", "a siding through MEMBER, joined by a mix"),
    ("detach candidate=C at=N", "gives a place a member of its own"),
    ("candidate NAME [like=C] [places=\"A | B domain=D\"]", "a new candidate"),
    ("rename candidate=C to=NAME", "another name for a candidate"),
    ("set-up NAME [note=TEXT]", "adds a set-up, or changes its note"),
    (
        "shot NAME [media= set-up= roll= encoding= ei= range= camera-white= measuring-region=]",
        "adds a shot, or changes what is said of it",
    ),
    ("choose shots=A,B [candidate=C]", "the candidate of shots; none takes it back"),
    ("state shots=A,B to=STATE", "untouched, balanced, matched, checked or handed-over"),
    ("lock shots=A,B", "they refuse every edit but unlock"),
    ("unlock shots=A,B", "they take edits again"),
    ("note shots=A,B text=TEXT", "what is to be remembered"),
    ("copy from=A shots=B,C [members=M,N]", "carries the numbers of a shot to others"),
    ("drop member=M|candidate=C|shot=A|set-up=S", "takes it out of the project"),
];

/// Why an edit in words was not made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("edit {number}, '{text}': {reason}")]
pub struct WordsError {
    /// Which of them, from 1.
    pub number: usize,
    /// As typed.
    pub text: String,
    /// What is wrong and what would be right.
    pub reason: String,
}

/// Reads edits in words and makes one edit of them. Each is read with those before it done. `folder` is the project's:
/// paths are written from there.
///
/// # Errors
/// The first one that cannot be read or would be refused.
pub fn edits(texts: &[impl AsRef<str>], document: &Document, book: &Book, folder: &Path) -> Result<Edit, WordsError> {
    let mut document = document.clone();
    let mut edits = Vec::with_capacity(texts.len());
    for (number, text) in (1..).zip(texts) {
        let text = text.as_ref();
        let refuse = |reason| WordsError { number, text: text.to_string(), reason };
        let edit = Reader { document: &document, book, folder }.edit(text).map_err(refuse)?;
        document.apply(&edit).map_err(|error: EditError| refuse(with_names(&error, &document)))?;
        edits.push(edit);
    }
    Ok(if edits.len() == 1 { edits.remove(0) } else { Edit::Many(edits) })
}

/// Why an edit was refused; where it names what is not there, with what there is.
fn with_names(error: &EditError, document: &Document) -> String {
    let there: Vec<_> = match error {
        EditError::NoMember(_) => document.kit.keys().cloned().collect(),
        EditError::NoCandidate(_) => document.candidates.keys().cloned().collect(),
        EditError::NoSetUp(_) => document.set_ups.keys().cloned().collect(),
        EditError::NoShot(_) => document.shots.keys().cloned().collect(),
        EditError::NoPlace { candidate, .. } => {
            let wiring = document.candidates.get(candidate);
            wiring
                .into_iter()
                .flat_map(|wiring| wiring.graph().node_indices())
                .map(|at| at.index().to_string())
                .collect()
        }
        _ => return error.to_string(),
    };
    let there = if there.is_empty() { "there is none".to_string() } else { format!("there are {}", there.join(", ")) };
    format!("{error}; {there}")
}

/// What the words are read with.
struct Reader<'a> {
    document: &'a Document,
    book: &'a Book,
    folder: &'a Path,
}

/// Several as one; one as itself.
fn joined(mut edits: Vec<Edit>) -> Edit {
    if edits.len() == 1 { edits.remove(0) } else { Edit::Many(edits) }
}

impl Reader<'_> {
    fn edit(&self, text: &str) -> Result<Edit, String> {
        let mut phrase = Phrase::new(text)?;
        let verb = phrase.verb.clone();
        let edit = match verb.as_str() {
            "set" => self.set(&mut phrase)?,
            "trim" => self.trim(&mut phrase)?,
            "nudge" => self.nudge(&mut phrase)?,
            "mark" => self.mark(&mut phrase)?,
            "add" => self.add(&mut phrase)?,
            "insert" => self.insert(&mut phrase)?,
            "move" => self.move_place(&mut phrase)?,
            "remove" => places::remove(&mut phrase)?,
            "bypass" => places::bypass(&mut phrase)?,
            "domain" => places::domain(&mut phrase)?,
            "branch" => self.branch(&mut phrase)?,
            "detach" => places::detach(&mut phrase)?,
            "candidate" => places::candidate(&mut phrase)?,
            "rename" => Edit::RenameCandidate { candidate: phrase.need("candidate")?, to: phrase.need("to")? },
            "set-up" => self.set_up(&mut phrase)?,
            "shot" => self.shot(&mut phrase)?,
            "choose" => self.choose(&mut phrase)?,
            "state" => self.state(&mut phrase)?,
            "lock" | "unlock" => self.lock(&mut phrase, verb == "lock")?,
            "note" => self.note(&mut phrase)?,
            "copy" => self.copy(&mut phrase)?,
            "drop" => drop_out(&mut phrase)?,
            _ => {
                let mut known: Vec<_> = VERBS.iter().filter_map(|(usage, _)| usage.split(' ').next()).collect();
                known.dedup();
                return Err(format!("there is no edit '{verb}'; there are {}", known.join(", ")));
            }
        };
        phrase.end()?;
        Ok(edit)
    }

    /// The layers that an edit is for; none where it names none.
    fn layers(&self, phrase: &mut Phrase) -> Result<Option<Vec<LayerAt>>, String> {
        let scene = phrase.flag("scene", false)?.then(|| vec![LayerAt::Scene]);
        let set_up = phrase.take("set-up").map(|name| vec![LayerAt::SetUp(name)]);
        let shots = self.shots_named(phrase)?.map(|shots| shots.into_iter().map(LayerAt::Shot).collect::<Vec<_>>());
        let mut given = [scene, set_up, shots].into_iter().flatten();
        let layers = given.next();
        if given.next().is_some() {
            return Err("only one of scene=, set-up= and shots= can be meant".to_string());
        }
        Ok(layers)
    }

    /// The value of a setting as the project keeps it.
    fn value(&self, member: &str, key: &str, value: String) -> String {
        match self.document.kit.get(member) {
            Some(op) => self.path_of(op, key, value),
            None => value,
        }
    }

    /// A file that an operation names is written from the project's folder.
    fn path_of(&self, op: &Op, key: &str, value: String) -> String {
        let is_file = key == "file" && op.fields().iter().any(|field| field.key == key);
        if !is_file || value.is_empty() {
            return value;
        }
        paths::written(&paths::whole(Path::new(&value)), &paths::whole(self.folder))
    }

    fn set(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let member = phrase.name("a kit member")?;
        let layers = self.layers(phrase)?;
        let mut edits = Vec::new();
        for (key, value) in phrase.settings()? {
            let value = self.value(&member, &key, value);
            match &layers {
                None => edits.push(Edit::Set { member: member.clone(), key, value }),
                Some(layers) => edits.extend(layers.iter().map(|layer| Edit::SetBase {
                    layer: layer.clone(),
                    member: member.clone(),
                    field: key.clone(),
                    value: Some(value.clone()).filter(|value| !value.is_empty()),
                })),
            }
        }
        Ok(joined(edits))
    }

    fn trim(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let member = phrase.name("a kit member")?;
        let layers = self.layers(phrase)?.ok_or("say whose trim: scene=true, set-up= or shots=")?;
        let mut edits = Vec::new();
        for (field, value) in phrase.settings()? {
            edits.extend(layers.iter().map(|layer| Edit::SetTrim {
                layer: layer.clone(),
                member: member.clone(),
                field: field.clone(),
                value: Some(value.clone()).filter(|value| !value.is_empty()),
            }));
        }
        Ok(joined(edits))
    }

    fn nudge(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let member = phrase.name("a kit member")?;
        let shots = self.shots_named(phrase)?.ok_or("shots= is missing")?;
        let nudge = |(field, by)| Edit::Nudge { shots: shots.clone(), member: member.clone(), field, by };
        Ok(joined(phrase.settings()?.into_iter().map(nudge).collect()))
    }

    fn mark(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let member = phrase.name("a kit member")?;
        let (shot, frame) = (phrase.need("shot")?, phrase.need("frame")?);
        let frame = frame.parse().map_err(|_| format!("frame={frame}: a frame number is wanted"))?;
        let mark = |(field, value): (String, String)| {
            let value = self.value(&member, &field, value);
            let value = Some(value).filter(|value| !value.is_empty());
            Edit::SetMark { shot: shot.clone(), member: member.clone(), field, frame, value }
        };
        Ok(joined(phrase.settings()?.into_iter().map(mark).collect()))
    }

    fn add(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let member = phrase.name("a new kit member")?;
        let operation = phrase.need("operation")?;
        let mut op = Op::named(&operation).ok_or_else(|| {
            let known: Vec<_> = Op::all().iter().map(Op::id).collect();
            format!("there is no operation '{operation}'; there are {}", known.join(", "))
        })?;
        for (key, value) in phrase.settings().unwrap_or_default() {
            let value = self.path_of(&op, &key, value);
            op.set(&key, &value).map_err(|error| error.to_string())?;
        }
        Ok(Edit::AddMember { member, op })
    }
}

fn drop_out(phrase: &mut Phrase) -> Result<Edit, String> {
    if let Some(member) = phrase.take("member") {
        return Ok(Edit::RemoveMember { member });
    }
    if let Some(candidate) = phrase.take("candidate") {
        return Ok(Edit::Rewire { candidate, wiring: None });
    }
    if let Some(shot) = phrase.take("shot") {
        return Ok(Edit::PutShot { shot, value: None });
    }
    let set_up = phrase.take("set-up").ok_or("say what: member=, candidate=, shot= or set-up=")?;
    Ok(Edit::PutSetUp { set_up, value: None })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_verb_of_the_list_is_understood() {
        let (document, book) = (Document::default(), Book::default());
        let reader = Reader { document: &document, book: &book, folder: Path::new("/ferry") };
        for (usage, _) in VERBS {
            let verb = usage.split(' ').next().unwrap_or_default();
            let error = reader.edit(verb).expect_err(verb);
            assert!(!error.contains("there is no edit"), "{verb}: {error}");
        }
        assert!(reader.edit("brighten").unwrap_err().contains("there is no edit 'brighten'; there are set, trim"));
    }

    #[test]
    fn several_edits_see_each_other_done_and_name_the_one_that_fails() {
        let (document, book) = (Document::default(), Book::default());
        let read = |texts: &[&str]| edits(texts, &document, &book, Path::new("/ferry"));
        let made = read(&["add key operation=exposure stops=1", "set key stops=2"]).unwrap();
        let mut changed = document.clone();
        changed.apply(&made).unwrap();
        assert_eq!(changed.kit["key"].get("stops").as_deref(), Some("2"));
        let error = read(&["add key operation=exposure", "set kez stops=2"]).unwrap_err();
        assert_eq!((error.number, error.text.as_str()), (2, "set kez stops=2"));
        assert_eq!(read(&[]).unwrap(), Edit::Many(Vec::new()));
        // Paths are written from the project's folder.
        let shot = read(&["shot deck_010 media=/ferry/deck/a.%04d.dpx"]).unwrap();
        let Edit::PutShot { value: Some(shot), .. } = shot else { panic!("{shot:?}") };
        assert_eq!(shot.media, "deck/a.%04d.dpx");
    }
}
