//! The process that `tests/kills.rs` kills: it changes a project, keeps and saves it, and says what it has done, until
//! it is killed. Its one argument is the project.

use std::io::Write as _;
use std::path::Path;

use session::Project;
use tests::saver::{edit, number_of};

fn main() {
    let Some(path) = std::env::args_os().nth(1) else { panic!("name the project") };
    let mut project = Project::open(Path::new(&path)).expect("the project opens");
    assert_eq!(project.read_only(), None);
    project.take_up();
    let first = number_of(project.written()) + 1;
    for number in first.. {
        project.apply(&edit(number)).expect("the edit holds");
        project.autosave().expect("it is kept");
        say("kept", number);
        // Now and then several changes go by unsaved.
        if number % 3 == 0 {
            project.save().expect("it is saved");
            say("saved", number);
        }
    }
}

fn say(what: &str, number: u32) {
    let mut out = std::io::stdout().lock();
    writeln!(out, "{what} {number}").and_then(|()| out.flush()).expect("somebody listens");
}
