//! What chains mean: elaborations written by hand from the design's rules against what the program makes of them.

use tests::written;

/// Design and issue ask for thirty.
const AT_LEAST: usize = 30;

#[test]
fn every_elaboration_is_as_written_by_hand() {
    let all = written::all();
    assert!(all.len() >= AT_LEAST, "{} elaborations", all.len());
    let mut wrong = String::new();
    for one in &all {
        let found = one.found();
        if found != one.wanted {
            wrong += &format!(
                "{}: {}\n  chain: {}\n--- wanted\n{}--- found\n{found}\n",
                one.name,
                one.one("why"),
                one.one("chain"),
                one.wanted
            );
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn every_file_says_why_and_a_third_are_errors() {
    let all = written::all();
    for one in &all {
        assert!(one.one("why").len() > 20, "{}: say why", one.name);
        assert!(one.strange_keys().is_empty(), "{}: {:?}", one.name, one.strange_keys());
        assert_eq!(one.wanted.starts_with("error: "), one.name.contains("_error_"), "{}", one.name);
    }
    let errors = all.iter().filter(|one| one.wanted.starts_with("error: ")).count();
    assert!(errors * 3 >= AT_LEAST, "{errors} errors");
}
