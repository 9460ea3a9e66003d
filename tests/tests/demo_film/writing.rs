//! What is written, and what is refused.

use std::fs;

use crate::written::{SIZE, all_files, quiet, written};
use demo::{Settings, TruthPictures};
use frame::{Range, Size};

fn of(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

#[test]
fn the_same_settings_give_the_same_bytes() {
    let settings =
        Settings { size: Size { width: 160, height: 90 }, frames: 2, noise: true, seed: 3, ..Settings::default() };
    let ((first, _), (second, _)) = (written(&settings), written(&settings));
    let names = |dir: &tempfile::TempDir| all_files(dir.path()).into_iter().map(|(name, _)| name).collect::<Vec<_>>();
    assert_eq!(names(&first), names(&second));
    assert!(all_files(first.path()) == all_files(second.path()));
    let (other, _) = written(&Settings { seed: 4, faults: false, ..settings.clone() });
    assert!(all_files(&first.path().join("deck_010")) != all_files(&other.path().join("deck_010")));
    // A shot is the same whichever others are written.
    let (alone, _) = written(&Settings { shots: of(&["galley_020"]), ..settings });
    assert!(all_files(&first.path().join("galley_020")) == all_files(&alone.path().join("galley_020")));
}

#[test]
fn something_moves_and_the_card_stays() {
    let (dir, summary) = written(&Settings { size: Settings::SMALLEST, truth: TruthPictures::First, ..quiet(6) });
    for shot in &summary.shots {
        let frame = |number: &str| {
            let path = dir.path().join(shot.pattern.replace("%04d", number));
            media::read(&path).expect("a frame").frame.to_pixels(Range::Full)
        };
        let (first, last) = (frame("0001"), frame("0006"));
        let changed = first.iter().zip(&last).filter(|(a, b)| a != b).count();
        assert!(changed > 20, "{}: {changed}", shot.name);
        let truth = crate::written::truth_of(dir.path(), shot);
        if truth.frames[0].source_levels == truth.frames[5].source_levels
            && truth.frames[0].source_drift == truth.frames[5].source_drift
        {
            let card = |pixels: &[[f32; 4]]| pixels[(shot.card.y * 160 + shot.card.x) as usize];
            assert_eq!(card(&first), card(&last), "{}", shot.name);
        }
    }
}

#[test]
fn stops_when_asked_and_leaves_whole_files() {
    let dir = tempfile::tempdir().expect("a folder");
    let settings = Settings { shots: of(&["deck_010", "deck_020", "galley_010"]), ..quiet(3) };
    let result = demo::write(dir.path(), &settings, &|done, _| done < 4);
    assert!(matches!(result, Err(demo::DemoError::Stopped { done: 4, total: 9 })), "{result:?}");
    let files = all_files(dir.path());
    let frames: Vec<_> = files.iter().filter(|(path, _)| path.extension().is_some_and(|e| e == "dpx")).collect();
    assert_eq!(frames.len(), 4);
    assert!(!dir.path().join("shots.json").exists());
    for (path, bytes) in frames {
        // SMPTE ST 268-1: a 2048-byte header, then a 32-bit word a pixel, or a byte a sample.
        let pixel = if path.starts_with("deck_020") { 3 } else { 4 };
        assert_eq!(bytes.len(), 2048 + pixel * 320 * 180, "{}", path.display());
    }
    for (path, _) in files.iter().filter(|(path, _)| path.extension().is_some_and(|e| e != "dpx" && e != "json")) {
        assert!(media::read(&dir.path().join(path)).is_ok(), "{}", path.display());
    }
}

#[test]
fn truth_pictures_lie_beside_every_frame_or_the_first() {
    for (truth, count) in [(TruthPictures::Every, 2), (TruthPictures::First, 1)] {
        let (dir, summary) = written(&Settings { truth, shots: of(&["galley_010"]), ..quiet(2) });
        let shot = &summary.shots[0];
        let told = crate::written::truth_of(dir.path(), shot);
        assert_eq!((told.frames.len(), told.pictures.frames), (2, count));
        for name in
            [&told.pictures.same, &told.pictures.relit, &told.pictures.maps].into_iter().chain(&told.pictures.shares)
        {
            for frame in 1..=2 {
                let there =
                    dir.path().join("galley_010/truth").join(name.replace("%04d", &format!("{frame:04}"))).is_file();
                assert_eq!(there, frame <= count, "{name} {frame}");
            }
        }
    }
}

#[test]
fn the_room_is_told_beforehand() {
    let settings = Settings { truth: TruthPictures::First, shots: of(&["deck_010", "deck_020"]), ..quiet(2) };
    let room = demo::room(&settings).expect("settings within bounds");
    let (dir, _) = written(&settings);
    let bytes = |ending: &str| -> u64 {
        let files = all_files(dir.path());
        files
            .iter()
            .filter(|(path, _)| path.extension().is_some_and(|e| e == ending))
            .map(|(_, b)| b.len() as u64)
            .sum()
    };
    assert_eq!((room.frames, room.frame_bytes), (4, bytes("dpx")));
    let truth = bytes("exr") + bytes("png");
    // Small pictures are mostly edges and compress less well than those that the figure is from.
    assert!((truth / 3..truth * 2).contains(&room.truth_bytes), "{} told, {truth} taken", room.truth_bytes);
}

#[test]
fn probes_lie_on_named_places_and_a_project_that_is_there_stays() {
    let (dir, summary) = written(&Settings { truth: TruthPictures::First, shots: of(&["galley_010"]), ..quiet(1) });
    let probes = fs::read_to_string(dir.path().join("night_ferry.bench.toml")).expect("probes");
    assert!(probes.starts_with("anchor = \"galley_010\"\n") && probes.contains("name = \"grey card\""), "{probes}");
    let project = fs::read_to_string(dir.path().join(demo::PROJECT_NAME)).expect("a project");
    assert_eq!(project.matches("\n[shots.").count(), summary.shots.len());
    fs::write(dir.path().join(demo::PROJECT_NAME), "mine").expect("a file");
    demo::write(dir.path(), &Settings { shots: of(&["galley_020"]), ..quiet(1) }, &|_, _| true).expect("written");
    assert_eq!(fs::read_to_string(dir.path().join(demo::PROJECT_NAME)).expect("a project"), "mine");
    assert_eq!(fs::read_to_string(dir.path().join("night_ferry.bench.toml")).expect("probes"), probes);
}

#[test]
fn settings_out_of_bounds_are_refused_by_name() {
    let dir = tempfile::tempdir().expect("a folder");
    for (settings, words) in [
        (Settings { size: Size { width: 0, height: 90 }, ..quiet(1) }, ["size 0x90", "choose"]),
        (Settings { size: Size { width: 60_000, height: 60_000 }, ..quiet(1) }, ["size 60000x60000", "choose"]),
        (quiet(0), ["frames 0", "choose"]),
        (Settings { shots: of(&["deck_10"]), ..quiet(1) }, ["'deck_10'", "near it are deck_010"]),
    ] {
        let error = demo::write(dir.path(), &settings, &|_, _| true).expect_err("refused").to_string();
        assert!(words.iter().all(|word| error.contains(word)), "{error}");
    }
    assert!(all_files(dir.path()).is_empty());
}

#[test]
fn one_frame_is_packed_code_of_any_size() {
    for size in [SIZE, Size { width: 1921, height: 1083 }] {
        let frame = demo::one_frame(size).expect("a frame");
        assert_eq!((frame.size(), frame.layout().bits()), (size, 10));
    }
    assert!(demo::one_frame(Size { width: 16, height: 9 }).is_err());
}

#[test]
fn planted_faults_are_there_in_the_bytes() {
    let settings = Settings { faults: true, shots: of(&["galley_010"]), truth: TruthPictures::First, ..quiet(1) };
    let (dir, summary) = written(&settings);
    let faults = dir.path().join(summary.faults.expect("a folder"));
    let path = |folder: &str, number: u32| faults.join(folder).join(format!("{folder}.{number:04}.dpx"));
    let read = |folder: &str, number: u32| media::read(&path(folder, number)).expect("a frame");
    for number in 1..=6 {
        // The tag: what the slate says, against what the camera's files say.
        let slate = read("exposure_index", number).about.notes[&media::Note::Slate].clone();
        assert!(slate.contains(&format!("EI {}", demo::WRONG_INDEX)), "{slate}");
        let sound = read("exposure_index", number).frame;
        let legal = read("legal_in_full", number);
        assert_eq!(legal.about.range, None);
        // Rec. ITU-R BT.709-6, item 4.6: 64 to 940 in 10 bits; the file's codes are the sound ones in that.
        for (sound, legal) in sound.to_codes().expect("codes").iter().zip(legal.frame.to_codes().expect("codes")) {
            for (sound, legal) in sound.iter().zip(legal) {
                let expected = 64.0 + f64::from(*sound) * 876.0 / 1023.0;
                assert!((f64::from(legal) - expected).abs() <= 0.5 + 1e-3, "{sound} {legal}");
            }
        }
        let eight = read("eight_in_ten", number).frame.to_codes().expect("codes");
        assert!(eight.iter().flatten().all(|code| code % 4 == 0));
        assert_eq!(path("gap_and_repeat", number).exists(), number != demo::MISSING);
    }
    let [first, second] = demo::REPEATED.map(|number| fs::read(path("gap_and_repeat", number)).expect("a file"));
    assert!(first == second);
    assert!(first != fs::read(path("gap_and_repeat", 4)).expect("a file"));
    let readme = fs::read_to_string(faults.join("README.txt")).expect("a README");
    for folder in ["exposure_index", "legal_in_full", "eight_in_ten", "gap_and_repeat"] {
        assert!(readme.contains(folder));
    }
}
