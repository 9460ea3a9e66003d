use graph::{Document, Shot};

use super::*;

fn document() -> Document {
    let mut document = graph::chain::parse(
        "input-transform encoding=LogC3 | exposure stops=0.5 | white-balance from=3200K | cdl slope=1,1,1 | saturation factor=2 | output-transform",
    )
    .unwrap();
    document.shots.insert("deck".to_string(), Shot::default());
    document.shots.insert("galley".to_string(), Shot::default());
    document
}

fn touched(member: &str, field: &str) -> Touched {
    Touched { member: member.to_string(), field: field.to_string(), channel: None }
}

fn done(shots: &[&str], touched: &Touched, change: &Change) -> Document {
    let mut document = document();
    let shots: Vec<String> = shots.iter().map(ToString::to_string).collect();
    let edit = edit(&document, &shots, touched, change).unwrap();
    let before = document.clone();
    let undo = document.apply(&edit).unwrap();
    let mut again = document.clone();
    again.apply(&undo).unwrap();
    assert_eq!(again, before);
    document
}

#[test]
fn an_amount_moves_the_trim_and_keeps_the_base() {
    let stops = touched("exposure", "stops");
    let document = done(&["deck"], &stops, &Change::By("0.25".to_string()));
    assert_eq!(value(&document, Some("deck"), None, &stops).as_deref(), Some("0.75"));
    assert_eq!(value(&document, Some("galley"), None, &stops).as_deref(), Some("0.5"));
    let number = document.shots["deck"].layer.number("exposure", "stops").unwrap();
    assert_eq!((number.base.as_deref(), number.trim.as_deref()), (None, Some("0.25")));
}

#[test]
fn a_needle_stands_where_it_was_put() {
    for (member, field, to, want) in [
        ("exposure", "stops", "-1.3", "-1.3"),
        ("saturation", "factor", "0.9", "0.9"),
        ("cdl", "slope", "1.1,1,0.9", "1.1,1,0.9"),
    ] {
        let touched = touched(member, field);
        let document = done(&["deck"], &touched, &Change::Needle(to.to_string()));
        let numbers_of = |text: &str| numbers(text).unwrap();
        let found = value(&document, Some("deck"), None, &touched).unwrap();
        for (found, want) in numbers_of(&found).iter().zip(numbers_of(want)) {
            assert!((found - want).abs() < 1e-9, "{member} {found} {want}");
        }
        assert!(document.shots["deck"].layer.number(member, field).unwrap().base.is_none());
    }
}

#[test]
fn a_white_moves_by_mired_and_duv() {
    let from = touched("white-balance", "from");
    let document = done(&["deck"], &from, &Change::Needle("3400K".to_string()));
    let number = document.shots["deck"].layer.number("white-balance", "from").unwrap();
    assert!(number.trim.as_deref().unwrap().starts_with("-18.38"), "{:?}", number.trim);
    let document = done(&["deck"], &from, &Change::To("3400K".to_string()));
    assert_eq!(value(&document, Some("deck"), None, &from).as_deref(), Some("3400K"));
}

#[test]
fn a_typed_value_stands_digit_for_digit_even_under_wider_trims() {
    let stops = touched("exposure", "stops");
    let mut document = document();
    let layer = LayerAt::Scene;
    let (member, field) = ("exposure".to_string(), "stops".to_string());
    document.apply(&Edit::SetTrim { layer, member, field, value: Some("0.2".to_string()) }).unwrap();
    let edit = edit(&document, &["deck".to_string()], &stops, &Change::To("1.1".to_string())).unwrap();
    document.apply(&edit).unwrap();
    assert_eq!(value(&document, Some("deck"), None, &stops).as_deref(), Some("1.1"));
}

#[test]
fn without_a_shot_the_kit_is_set() {
    let stops = touched("exposure", "stops");
    let document = done(&[], &stops, &Change::By("-0.25".to_string()));
    assert_eq!(document.kit["exposure"].get("stops").as_deref(), Some("0.25"));
}

#[test]
fn names_become_bases() {
    let display = touched("output-transform", "display");
    let document = done(&["deck"], &display, &Change::Needle("sRGB".to_string()));
    assert_eq!(value(&document, Some("deck"), None, &display).as_deref(), Some("sRGB"));
}

#[test]
fn what_is_not_there_is_refused() {
    let gone = touched("gone", "stops");
    assert!(edit(&document(), &[], &gone, &Change::By("1".to_string())).unwrap_err().contains("not in the kit"));
}

#[test]
fn one_number_said_of_one_of_three_leaves_the_others() {
    let green = Touched { channel: Some(1), ..touched("cdl", "slope") };
    for shots in [&["deck"][..], &[]] {
        let document = done(shots, &green, &Change::To("0.9".to_string()));
        assert_eq!(value(&document, shots.first().copied(), None, &green).as_deref(), Some("1,0.9,1"));
    }
}
