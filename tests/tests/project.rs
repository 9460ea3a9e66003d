//! The project file: what it says, what it refuses and where, and what opening, saving and recovering make of it.

#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

use std::fs;
use std::path::Path;

use graph::{Document, Edit, SCHEMA_VERSION};
use ops::Domain;
use proptest::prelude::*;
use session::file::{FileError, Written, read, read_with_notes, write};
use session::{Project, ProjectError};
use tests::edits;

const FERRY: &str = r#"schema_version = 2
encoding_files = [
    "deck.toml",
]

[kit.exposure]
operation = "exposure"
version = 1
stops = 0.5

[kit.exposure-2]
operation = "exposure"
version = 1

[kit.input-transform]
operation = "input-transform"
version = 1

[kit."key light"]
operation = "white-balance"
version = 1
from = "3200K"
method = "CAT16"

[candidates]
log = [
    "input-transform",
    "exposure domain=log",
    '"key light" bypass=true',
]
scene = [
    "input-transform",
    "exposure",
]

[scene]
numbers.exposure.stops.trim = +0.1

[set_ups.deck]
note = "work lamps on the rail"
numbers.exposure.stops.base = -0.25

[shots.deck_010]
media = "deck_010/deck_010.%04d.dpx"
set_up = "deck"
camera_roll = "A003"
encoding = "LogC3"
exposure_index = 800
range = "full"
camera_white = "5600K"
candidate = "scene"
state = "matched"
locked = true
note = "spray on the lens from 1020"
numbers.exposure.stops.marks.-4 = 0.25
numbers.exposure.stops.marks.1001 = 0.5
numbers."key light".from.base = "3100K+0.002duv"

[shots.galley_010]
media = "../originals/galley_010.####.exr"
"#;

fn read_text(text: &str) -> Result<Written, FileError> {
    read(text, Path::new("ferry.greywright"))
}

fn ferry() -> Written {
    read_text(FERRY).unwrap_or_else(|error| panic!("{error}"))
}

// ---- the written form

#[test]
fn a_project_is_written_as_it_was_read() {
    let ferry = ferry();
    assert_eq!(write(&ferry), FERRY, "fixed order, one thing a line, nothing that is at its default");
    let kit = ferry.document.resolve(Some("deck_010"), Some(1001)).unwrap();
    assert_eq!(kit["exposure"].get("stops").as_deref(), Some("0.6"), "the mark and the scene's trim");
}

#[test]
fn an_empty_project_is_one_line() {
    assert_eq!(write(&Written::default()), format!("schema_version = {SCHEMA_VERSION}\n"));
    assert_eq!(read_text(&write(&Written::default())).unwrap(), Written::default());
}

/// Documents of schema version 1 were JSON.
#[test]
fn an_older_document_is_read() {
    let document = graph::chain::parse("exposure stops=0.1 domain=log | white-balance from=3200K").unwrap();
    let json = document.to_json().unwrap().replacen(
        &format!("\"schema_version\": {SCHEMA_VERSION}"),
        "\"schema_version\": 1",
        1,
    );
    let read = read_text(&json).unwrap();
    assert_eq!((read.document.kit, read.document.candidates), (document.kit, document.candidates));
}

/// Each row: what is changed in the file, then the line, the column and words of the refusal. Lines and columns were
/// counted by hand.
#[test]
fn what_cannot_be_meant_is_refused_at_its_line_and_column() {
    for (before, after, line, column, words) in [
        // A field that there is not, on every level.
        ("\n[kit.exposure]", "\nmood = 1\n[kit.exposure]", 6, 1, &["no field 'mood'", "candidates", "shots"][..]),
        ("stops = 0.5", "stops = 0.5\ngain = 2", 10, 1, &["kit.exposure.gain", "stops"]),
        ("note = \"work", "lens = \"50\"\nnote = \"work", 40, 1, &["'set_ups.deck.lens'", "note", "numbers"]),
        ("locked = true", "  lokced = true", 53, 3, &["'shots.deck_010.lokced'", "locked"]),
        ("stops.base", "stops.bass", 41, 24, &["'set_ups.deck.numbers.exposure.stops.bass'", "base, marks, trim"]),
        ("numbers.exposure.stops.trim", "numbers.exposure.stop.trim", 37, 18, &["no such setting", "stops"]),
        ("numbers.exposure.stops.trim", "numbers.expose.stops.trim", 37, 9, &["'expose' is not in the kit"]),
        ("[set_ups.deck]", "[setups.deck]", 39, 2, &["no field 'setups'", "set_ups"]),
        // A value of the wrong kind.
        ("stops.base = -0.25", "stops = -0.25", 41, 26, &["this is a number", ".base, .trim or .marks.FRAME"]),
        ("stops = 0.5", "stops = \"0.5\"", 9, 9, &["kit.exposure.stops", "without quotation marks"]),
        ("stops = 0.5", "stops = true", 9, 9, &["kit.exposure.stops", "a number is wanted"]),
        ("stops = 0.5", "stops = nan", 9, 9, &["a finite number is wanted"]),
        ("locked = true", "locked = \"yes\"", 53, 10, &["this is text; true or false is wanted"]),
        ("media = \"deck", "media = 7 # \"deck", 44, 9, &["this is a number; text in quotation marks"]),
        ("exposure_index = 800", "exposure_index = -1", 48, 18, &["'-1' is not a whole number"]),
        ("[candidates]\nlog = [\n", "[candidates]\nlog = [ 3,\n", 26, 9, &["candidates.log", "text in quotation"]),
        ("note = \"work lamps on the rail\"", "note = [ 1 ]", 40, 8, &["set_ups.deck.note", "this is a list"]),
        // A value that there is not.
        ("\"white-balance\"", "\"white-ballance\"", 20, 13, &["no operation 'white-ballance'", "white-balance"]),
        ("\"CAT16\"", "\"CAT61\"", 23, 10, &["kit.key light.method", "Bradford"]),
        ("range = \"full\"", "range = \"wide\"", 49, 9, &["full or legal is wanted"]),
        ("camera_white = \"5600K\"", "camera_white = \"5600\"", 50, 16, &["camera_white"]),
        ("camera_white = \"5600K\"", "measuring_region = \"0,140,2048\"", 50, 20, &["measuring_region", "left, top"]),
        ("state = \"matched\"", "state = \"done\"", 52, 9, &["'done' is no state", "handed-over"]),
        ("set_up = \"deck\"", "set_up = \"decks\"", 45, 10, &["no 'decks'", "deck"]),
        ("candidate = \"scene\"", "candidate = \"scenic\"", 51, 13, &["no 'scenic'", "log, scene"]),
        ("marks.-4", "marks.first", 55, 30, &["'first' is no frame number"]),
        ("marks.-4", "marks.01001", 56, 30, &["marked twice"]),
        ("\"exposure domain=log\"", "\"exposure domain=sea\"", 28, 5, &["candidates.log", "'sea' is no domain"]),
        ("\"exposure domain=log\"", "\"exposure from=2\"", 26, 1, &["circle", "change a from= or side="]),
        ("\"exposure domain=log\"", "\"exposed\"", 28, 5, &["'exposed' is not in the kit"]),
        // Outside the hard range, alone and added up.
        ("stops = 0.5", "stops = 24.5", 9, 9, &["kit.exposure.stops", "stops=24.5 is outside -24 to 24"]),
        ("stops.base = -0.25", "stops.base = -25", 41, 31, &["stops=-25 is outside -24 to 24"]),
        ("marks.1001 = 0.5", "marks.1001 = 24", 55, 18, &["shot 'deck_010'", "24.1 is outside"]),
        ("stops.trim = +0.1", "stops.trim = \"+a\"", 37, 31, &["stops"]),
        // Marks are a shot's own.
        ("stops.base = -0.25", "stops.marks.1 = -0.25", 41, 18, &["frames can be marked for a shot alone"]),
        // Missing.
        ("media = \"../", "note = \"../", 59, 8, &["shots.galley_010: media is missing", "media = \"PATH\""]),
        (
            "[kit.exposure-2]\noperation = \"exposure\"\nversion = 1\n",
            "[kit.exposure-2]\noperation = \"exposure\"\n",
            11,
            6,
            &["kit.exposure-2: version is missing", "version = 1"],
        ),
        // No TOML at all.
        ("stops = 0.5", "stops = ", 9, 9, &["this is no TOML"]),
        ("[kit.exposure-2]", "[kit.exposure]", 11, 6, &["this is no TOML", "duplicate"]),
    ] {
        assert!(FERRY.contains(before), "{before}");
        let error = read_text(&FERRY.replacen(before, after, 1)).expect_err(after);
        let message = error.to_string();
        let place = format!("ferry.greywright: line {line}, column {column}: ");
        assert!(message.starts_with(&place), "{after}: wanted {line}:{column}, got {message}");
        for word in words {
            assert!(message.contains(word), "{after}: no '{word}' in {message}");
        }
    }
}

#[test]
fn a_newer_project_is_refused_whatever_else_it_holds() {
    let newer = format!("schema_version = {}", SCHEMA_VERSION + 1);
    for text in [
        FERRY.replacen("schema_version = 2", &newer, 1),
        format!("{newer}\nthis is <no> TOML of today"),
        format!("# a comment\n\n{newer} # and one more\n\u{0}"),
        "schema_version = 99999999999999999999999999\n".to_string(),
        format!("mood = 3\n{newer}\n"),
        format!("{{ \"schema_version\": {}, \"rooms\": [] }}", SCHEMA_VERSION + 1),
    ] {
        let error = read_text(&text).expect_err(&text);
        assert!(matches!(error, FileError::Newer { .. }), "{text}: {error}");
        assert!(error.to_string().contains("open it with a newer Greywright"), "{error}");
    }
    for text in ["", "schema_version = 1\n", "schema_version = \"2\"\n", "{", "[]"] {
        let error = read_text(text).expect_err(text).to_string();
        assert!(error.starts_with("ferry.greywright: "), "{error}");
    }
}

/// The maths of a released version never changes, so that a project made with other maths must say so.
#[test]
fn an_operation_of_another_version_is_refused() {
    let error = read_text(&FERRY.replacen("version = 1", "version = 2", 1)).unwrap_err().to_string();
    assert!(error.starts_with("ferry.greywright: line 8, column 11: kit.exposure.version: "), "{error}");
    assert!(error.contains("version 2 of exposure is newer") && error.contains("newer Greywright"), "{error}");
    let error = read_text(&FERRY.replacen("version = 1", "version = 0", 1)).unwrap_err().to_string();
    assert!(error.contains("version 1 of exposure alone"), "{error}");
}

/// A picture of an older project stays: version 1 of output-transform was plain where its file said nothing.
#[test]
fn an_operation_of_an_older_version_keeps_its_picture() {
    let file = |version: u32, settings: &str| {
        format!(
            "schema_version = 2\n\n[kit.out]\noperation = \"output-transform\"\nversion = {version}\n{settings}\n\
             [candidates]\nplain = [\n    \"out\",\n]\n"
        )
    };
    let noted = |text: &str| read_with_notes(text, Path::new("ferry.greywright")).unwrap();
    for (version, settings, rendering, told) in [
        (1, "", "plain", true),
        (1, "display = \"PQ\"\n", "plain", true),
        (1, "rendering = \"plain\"\n", "plain", true),
        (2, "", "aces-2.0", false),
        (2, "rendering = \"plain\"\n", "plain", false),
    ] {
        let text = file(version, settings);
        let (written, notes) = noted(&text);
        let out = &written.document.kit["out"];
        assert_eq!(out.get("rendering").as_deref(), Some(rendering), "{text}");
        assert_eq!(!notes.is_empty(), told, "{notes:?}");
        if let [note] = &notes[..] {
            assert!(note.starts_with("kit.out: version 1") && note.contains("rendering = \"aces-2.0\""), "{note}");
        }
        // What is saved is of this version and says all of it.
        let saved = write(&written);
        assert!(saved.contains("version = 2\n") && saved.contains("rendering") == (rendering == "plain"), "{saved}");
        assert_eq!(noted(&saved), (written, Vec::new()));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_damaged_project_panics_and_what_is_read_is_sound(at in 0usize..4000, with in "[\\PC\n]{0,3}", cut in 0usize..8) {
        let at = (0..=at % FERRY.len()).rev().find(|&at| FERRY.is_char_boundary(at)).unwrap();
        let end = (at + cut).min(FERRY.len());
        let damaged = format!("{}{with}{}", &FERRY[..at], FERRY.get(end..).unwrap_or_default());
        if let Ok(written) = read_text(&damaged) {
            prop_assert!(written.document.check().is_ok());
            prop_assert_eq!(read_text(&write(&written)).unwrap(), written);
        }
    }

    #[test]
    fn every_name_and_text_comes_back(name in "[^\"\\pC]{0,7}[a-z]", note in "(\\PC|[\n\t\r\u{7f}]){0,20}") {
        let mut ferry = ferry();
        let shot = ferry.document.shots.remove("galley_010").unwrap();
        ferry.document.shots.insert(name.clone(), graph::Shot { note, ..shot });
        let op = ferry.document.kit["exposure"].clone();
        ferry.document.kit.insert(name.clone(), op);
        prop_assert_eq!(read_text(&write(&ferry)).unwrap(), ferry);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// Every edit there is, drawn at random, some refused: taken back, the file is as it was, byte for byte; brought
    /// again, it is as it became.
    #[test]
    fn edits_followed_by_steps_back_restore_the_bytes(edits in proptest::collection::vec(edits::edit(), 1..24)) {
        let dir = folder();
        let path = dir.path().join("ferry.greywright");
        let start = write(&Written { document: edits::document(), ..Written::default() });
        fs::write(&path, &start).unwrap();
        let mut project = Project::open(&path).unwrap();
        let mut texts = vec![start.clone()];
        for edit in &edits {
            let before = project.text();
            match project.apply(edit) {
                Ok(()) => texts.push(project.text()),
                Err(_) => prop_assert_eq!(&project.text(), &before, "{:?} was refused and yet changed something", edit),
            }
            prop_assert_eq!(&read_text(&project.text()).unwrap(), project.written(), "after {:?}", edit);
        }
        project.save().unwrap();
        prop_assert_eq!(&fs::read_to_string(&path).unwrap(), texts.last().unwrap());
        for text in texts.iter().rev().skip(1) {
            prop_assert!(project.step_back().unwrap().is_some());
            prop_assert_eq!(&project.text(), text);
        }
        project.save().unwrap();
        prop_assert_eq!(fs::read_to_string(&path).unwrap(), start);
        for text in &texts[1..] {
            project.step_forth().unwrap();
            prop_assert_eq!(&project.text(), text);
        }
    }
}

// ---- opening, saving, recovering

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder for the test")
}

fn stops(value: &str) -> Edit {
    Edit::Set { member: "exposure".into(), key: "stops".into(), value: value.into() }
}

fn stops_of(document: &Document) -> String {
    document.kit["exposure"].get("stops").unwrap()
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned());
    let mut names: Vec<_> = entries.collect();
    names.sort();
    names
}

#[test]
fn a_second_opening_is_for_reading_alone() {
    let dir = folder();
    let path = dir.path().join("ferry.greywright");
    fs::write(&path, FERRY).unwrap();
    let mut first = Project::open(&path).unwrap();
    assert_eq!(first.read_only(), None);
    let mut second = Project::open(&path).unwrap();
    let why = second.read_only().unwrap().to_string();
    assert!(why.contains(&format!("process {}", std::process::id())) && why.contains("UTC"), "{why}");
    for refused in [second.apply(&stops("1")), second.save(), second.autosave()] {
        assert!(matches!(refused, Err(ProjectError::ReadOnly { .. })), "{refused:?}");
    }
    first.apply(&stops("1")).unwrap();
    first.save().unwrap();
    assert_eq!(stops_of(&session::read(&path).unwrap().document), "1", "reading needs no right");
    drop(first);
    assert_eq!(Project::open(&path).unwrap().read_only(), None);
    assert_eq!(names(dir.path()), ["ferry.greywright"], "nothing is left lying about");
}

#[test]
fn steps_go_back_and_forth_under_their_names() {
    let dir = folder();
    let path = dir.path().join("ferry.greywright");
    fs::write(&path, FERRY).unwrap();
    let mut project = Project::open(&path).unwrap();
    project.apply(&stops("1")).unwrap();
    let domain = Edit::SetDomain { candidate: "log".into(), at: 1.into(), domain: Some(Domain::Camera) };
    project.apply(&domain).unwrap();
    assert!(project.apply(&stops("99")).is_err());
    let back: Vec<_> = project.steps().names_back().map(str::to_string).collect();
    assert_eq!(back, ["place 1 of log in camera", "exposure stops=1"]);
    let changed = project.text();
    assert_eq!(project.step_back().unwrap().as_deref(), Some("place 1 of log in camera"));
    assert_eq!(project.step_back().unwrap().as_deref(), Some("exposure stops=1"));
    assert_eq!(project.step_back().unwrap(), None);
    assert_eq!(project.text(), FERRY);
    assert!(!project.is_changed());
    project.step_forth().unwrap();
    project.step_forth().unwrap();
    assert_eq!(project.text(), changed);
    project.step_back().unwrap();
    project.apply(&stops("2")).unwrap();
    assert_eq!(project.steps().names_forth().count(), 0, "a new change takes the place of those taken back");
}

#[test]
fn unsaved_work_is_offered_at_the_next_opening() {
    let dir = folder();
    let path = dir.path().join("ferry.greywright");
    fs::write(&path, FERRY).unwrap();
    let mut project = Project::open(&path).unwrap();
    project.apply(&stops("1")).unwrap();
    project.autosave().unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), FERRY, "the file itself waits for the saving");
    // As a process that dies: its lock goes, nothing else happens.
    drop(project);
    assert_eq!(names(dir.path()), [".ferry.greywright.autosave", "ferry.greywright"]);

    let mut project = Project::open(&path).unwrap();
    let recovered = project.recovered().unwrap();
    assert_eq!(stops_of(&recovered.written.document), "1");
    // Until somebody decides, nothing takes it away.
    project.apply(&stops("3")).unwrap();
    project.autosave().unwrap();
    project.save().unwrap();
    drop(project);
    let mut project = Project::open(&path).unwrap();
    project.take_up();
    assert_eq!(stops_of(project.document()), "1");
    project.save().unwrap();
    assert_eq!(names(dir.path()).len(), 2, "saved and tidy but for the lock: {:?}", names(dir.path()));
    drop(project);
    assert!(Project::open(&path).unwrap().recovered().is_none());

    // Left for good.
    let mut project = Project::open(&path).unwrap();
    project.apply(&stops("5")).unwrap();
    project.autosave().unwrap();
    drop(project);
    let mut project = Project::open(&path).unwrap();
    project.leave().unwrap();
    assert_eq!(stops_of(project.document()), "1");
    drop(project);
    assert_eq!(names(dir.path()), ["ferry.greywright"]);
}

#[test]
fn a_save_writes_over_nothing_that_it_does_not_know() {
    let dir = folder();
    let path = dir.path().join("ferry.greywright");
    fs::write(&path, FERRY).unwrap();
    let mut project = Project::open(&path).unwrap();
    project.apply(&stops("1")).unwrap();
    let other = FERRY.replace("work lamps", "deck lamps");
    fs::write(&path, &other).unwrap();
    let error = project.save().unwrap_err();
    assert!(matches!(error, ProjectError::ChangedMeanwhile { .. }), "{error}");
    assert_eq!(fs::read_to_string(&path).unwrap(), other);
    fs::write(&path, b"\xff no text at all").unwrap();
    assert!(matches!(project.save(), Err(ProjectError::ChangedMeanwhile { .. })));
    assert!(matches!(Project::new(&path, Written::default()), Err(ProjectError::Exists { .. })));
}

/// A project that was never saved has no file beside which its unsaved work could be offered.
#[test]
fn keeping_a_new_project_saves_it() {
    let dir = folder();
    let path = dir.path().join("ferry.greywright");
    let mut project = Project::new(&path, ferry()).unwrap();
    assert!(project.is_changed());
    assert!(matches!(Project::open(&path), Err(ProjectError::Unreadable { .. })), "nothing is written before");
    project.autosave().unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), FERRY);
    assert!(!project.is_changed());
}

/// What a person wrote in another way is no change of the project.
#[test]
fn a_file_in_another_order_is_not_changed_by_opening_it() {
    let dir = folder();
    let path = dir.path().join("ferry.greywright");
    fs::write(&path, FERRY.replace("stops = 0.5\n", "stops   =  0.5\r\n")).unwrap();
    let mut project = Project::open(&path).unwrap();
    assert!(!project.is_changed());
    project.autosave().unwrap();
    drop(project);
    assert_eq!(names(dir.path()), ["ferry.greywright"]);
}

#[test]
fn comments_that_saving_would_lose_are_spoken_of() {
    let dir = folder();
    let path = dir.path().join("ferry.greywright");
    fs::write(&path, FERRY.replacen("[candidates]", "# by hand\n[candidates]", 1)).unwrap();
    let notes = Project::open(&path).unwrap().notes().join("\n");
    assert!(notes.contains("comments"), "{notes}");
}

/// A link to a project is followed: what it leads to is replaced, and the link stays.
#[cfg(unix)]
#[test]
fn links_and_permissions_stay() {
    use std::os::unix::fs::PermissionsExt as _;
    let dir = folder();
    let (path, link) = (dir.path().join("ferry.greywright"), dir.path().join("link.greywright"));
    fs::write(&path, FERRY).unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
    std::os::unix::fs::symlink(&path, &link).unwrap();
    let mut project = Project::open(&link).unwrap();
    project.apply(&stops("1")).unwrap();
    project.save().unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(stops_of(&session::read(&path).unwrap().document), "1");
    assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
}

// ---- the demo's project

/// Its text is what saving it would write, so that the first change of it shows as that change alone.
#[test]
fn the_demo_project_is_written_as_any_other() {
    let written = read(demo::PROJECT, Path::new(demo::PROJECT_NAME)).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(write(&written), demo::PROJECT);
    for (name, shot) in &written.document.shots {
        assert!(name.starts_with(shot.set_up.as_deref().unwrap()), "{name}");
        assert_eq!(shot.media, format!("{name}/{name}.%04d.dpx"));
    }
}
