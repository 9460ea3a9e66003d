//! Every order of a candidate's corrections, those that make the same picture grouped, those without a meaning told.
//!
//! # Source
//! That gains of light commute, and that a sum and a gain do not: arithmetic. An exposure is the same before and after a
//! change of primaries, since both are matrices and one of them is a multiple of the identity.

#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

use colour::Encoding;
use graph::{ElaborateError, Original, chain};
use ops::Book;
use reference::orders::{Grouped, elaborate_and_group};

fn grouped(text: &str) -> (Vec<String>, Grouped) {
    let document = chain::parse(text).unwrap();
    let (names, wirings): (Vec<_>, Vec<_>) = document.orders(chain::CANDIDATE).unwrap().into_iter().unzip();
    let original = Original::Encoded(Encoding::named("LogC3", None).unwrap());
    (names, elaborate_and_group(&wirings, &document.kit, &original, None, &Book::default()))
}

#[test]
fn exposure_commutes_with_a_white_balance_in_light_and_not_in_code() {
    let (names, light) =
        grouped("input-transform | exposure stops=1 | white-balance from=3200K | output-transform rendering=plain");
    assert_eq!(names, ["chain: exposure, white-balance", "chain: white-balance, exposure"]);
    assert_eq!(light.groups, [[0, 1]]);
    // A gain of log code is a power of light, which no matrix commutes with.
    let (_, code) = grouped("input-transform | exposure stops=0.1 domain=log | white-balance from=3200K");
    assert_eq!(code.groups, [[0], [1]]);
}

#[test]
fn three_corrections_fall_into_the_groups_that_arithmetic_says() {
    // Two exposures in light commute with each other, one of log code commutes with neither: side by side the two may
    // come in either order; with the one of log code between them it tells which of them came first.
    let (names, three) =
        grouped("input-transform | exposure stops=1 | exposure stops=0.1 domain=log | exposure stops=0.5");
    let group = |of: &[&str]| -> Vec<usize> {
        let whole = |name: &&str| names.iter().position(|known| *known == format!("chain: {name}")).unwrap();
        let mut group: Vec<_> = of.iter().map(whole).collect();
        group.sort_unstable();
        group
    };
    let (a, log, b) = ("exposure", "exposure-2 in log", "exposure-3");
    let order = |three: [&str; 3]| three.join(", ");
    let mut wanted = vec![
        group(&[&order([a, log, b])]),
        group(&[&order([b, log, a])]),
        group(&[&order([a, b, log]), &order([b, a, log])]),
        group(&[&order([log, a, b]), &order([log, b, a])]),
    ];
    wanted.sort();
    let mut found = three.groups.clone();
    found.sort();
    assert_eq!(found, wanted, "{names:?}");
}

#[test]
fn a_change_too_small_to_see_is_a_change() {
    let (_, small) = grouped("input-transform | exposure stops=0.0001 domain=log | white-balance from=6400K");
    assert_eq!(small.groups.len(), 2, "{small:?}");
}

#[test]
fn an_order_without_meaning_is_told_with_its_reason() {
    // The exposure works in scene light; behind the output-transform there is none.
    let (names, mixed) = grouped(
        "input-transform | exposure stops=1 | output-transform rendering=plain \
         | white-balance from=3200K domain=display",
    );
    assert_eq!(names.len(), 2);
    assert_eq!(mixed.groups, [[0]]);
    let [(1, reason)] = &mixed.meaningless[..] else { panic!("{mixed:?}") };
    assert!(matches!(reason, ElaborateError::NoDisplay { member } if member == "white-balance"), "{reason}");
}

#[test]
fn five_corrections_have_120_orders_and_all_are_accounted_for() {
    let (names, five) = grouped(
        "input-transform | exposure stops=0.1 domain=camera | exposure stops=0.2 domain=log | white-balance from=3200K | \
         exposure stops=0.3 | white-balance from=4000K | output-transform rendering=plain",
    );
    assert_eq!(names.len(), 120);
    let mut all: Vec<usize> = five.groups.concat();
    all.extend(five.meaningless.iter().map(|(index, _)| index));
    all.sort_unstable();
    assert_eq!(all, (0..120).collect::<Vec<_>>());
    assert!(five.groups.len() > 1 && five.groups.len() < 120, "{} groups", five.groups.len());
    println!("120 orders, {} groups", five.groups.len());
}
