use std::collections::BTreeSet;

use super::*;

#[test]
fn no_key_and_no_words_stand_for_two_commands() {
    let context = egui::Context::default();
    let keys: Vec<_> = COMMANDS.iter().filter_map(|command| Some(written(&context, &command.key?))).collect();
    assert_eq!(keys.iter().collect::<BTreeSet<_>>().len(), keys.len(), "{keys:?}");
    let words: BTreeSet<_> = COMMANDS.iter().map(|command| command.words).collect();
    assert_eq!(words.len(), COMMANDS.len());
}

#[test]
fn words_are_searched_in_any_order() {
    let save = COMMANDS.iter().find(|command| command.words == "save the project").unwrap();
    assert!(save.is_meant_by("Project save") && save.is_meant_by("") && !save.is_meant_by("save plan"));
}
