//! Documents keep what they are told and refuse what they cannot mean; chains too.

#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

use graph::{Document, DocumentError, Edit, SCHEMA_VERSION, WiringError, chain};
use proptest::prelude::*;

const MAIN: &str = "input-transform encoding=LogC3 ei=400 range=legal | exposure stops=0.1 domain=camera-linear | \
    white-balance from=3200K+0.004duv to=0.31,0.32 method=CAT16 degree=0.3 bypass=true | \
    output-transform display=PQ peak=1000.5 black=0.005 rendering=plain";

fn main_chain() -> Document {
    chain::parse(MAIN).unwrap()
}

fn refused(json: &str) -> String {
    Document::from_json(json).expect_err(json).to_string()
}

// ---- the written form

#[test]
fn a_document_comes_back_from_json_as_it_was() {
    let mut document = main_chain();
    let other = chain::parse("exposure stops=-1").unwrap().candidates[chain::CANDIDATE].clone();
    document.candidates.insert("another".to_string(), other);
    let json = document.to_json().unwrap();
    assert_eq!(Document::from_json(&json).unwrap(), document);
    assert_eq!(Document::from_json(&json).unwrap().to_json().unwrap(), json, "writing is deterministic");
    assert!(json.contains("\"schema_version\": 2"));
}

#[test]
fn a_hole_in_the_indices_survives() {
    // Undo names places by index, so an index must not move when a project is saved and loaded.
    let mut document = main_chain();
    let places: Vec<_> = document.candidates[chain::CANDIDATE].graph().node_indices().collect();
    document.apply(&Edit::Remove { candidate: chain::CANDIDATE.to_string(), at: places[1] }).unwrap();
    let back = Document::from_json(&document.to_json().unwrap()).unwrap();
    assert_eq!(back, document);
    let kept: Vec<_> = back.candidates[chain::CANDIDATE].graph().node_indices().collect();
    assert_eq!(kept, [places[0], places[2], places[3]]);
}

#[test]
fn a_newer_document_is_refused() {
    let json = main_chain().to_json().unwrap();
    let newer = json.replace("\"schema_version\": 2", &format!("\"schema_version\": {}", SCHEMA_VERSION + 1));
    assert!(matches!(Document::from_json(&newer), Err(DocumentError::Newer { found }) if found == SCHEMA_VERSION + 1));
    assert!(refused(&newer).contains("newer Greywright"));
    // Even where nothing else of it can be read.
    assert!(refused(r#"{ "schema_version": 7, "rooms": [] }"#).contains("version 7"));
    assert!(refused(&json.replace("\"schema_version\": 2,", "")).contains("schema_version"));
}

#[test]
fn unknown_fields_are_refused_on_every_level() {
    let json = main_chain().to_json().unwrap();
    for (before, after) in [
        ("\"schema_version\": 2,", "\"schema_version\": 1, \"colour\": 1,"),
        ("\"stops\": 0.1", "\"stops\": 0.1, \"gain\": 1"),
    ] {
        assert!(json.contains(before), "{before} in {json}");
        let error = refused(&json.replacen(before, after, 1));
        assert!(error.contains("unknown field"), "{after}: {error}");
    }
    let error = refused(&json.replacen("\"exposure domain=camera-linear\"", "\"exposure shade=1\"", 1));
    assert!(error.contains("'shade' is not known"), "{error}");
    assert!(refused(&json.replace("\"operation\": \"exposure\"", "\"operation\": \"expose\"")).contains("expose"));
}

#[test]
fn hard_ranges_hold_on_loading() {
    let json = main_chain().to_json().unwrap();
    for (before, after, wanted) in [
        ("\"stops\": 0.1", "\"stops\": 24.5", "kit member 'exposure': stops=24.5 is outside -24 to 24"),
        ("\"degree\": 0.3", "\"degree\": -0.001", "kit member 'white-balance': degree=-0.001 is outside 0 to 1"),
        ("\"peak\": 1000.5", "\"peak\": 10001.0", "peak=10001 is outside 1 to 10000"),
        ("\"ei\": 400", "\"ei\": 7", "ei=7 is outside 50 to 25600"),
        ("\"stops\": 0.1", "\"stops\": 1e999", "not a Greywright document"),
        ("\"3200K+0.004duv\"", "\"3200K+0.4duv\"", "0.05"),
        ("\"display\": \"PQ\"", "\"display\": \"PX\"", "PX"),
    ] {
        assert!(json.contains(before), "{before} in {json}");
        let error = refused(&json.replace(before, after));
        assert!(error.contains(wanted), "{after}: {error}");
    }
}

#[test]
fn wirings_without_meaning_are_refused_on_loading() {
    let json = main_chain().to_json().unwrap();
    let lost = refused(&json.replace("\"exposure domain", "\"exposure-9 domain"));
    assert_eq!(lost, "candidate 'chain' uses 'exposure-9', which is not in the kit");
    let places = |altered: &str| {
        let json = json.replacen("\"exposure domain=camera-linear\"", altered, 1);
        Document::from_json(&json).expect_err(altered)
    };
    for circle in ["\"exposure from=3\"", "\"exposure from=1\""] {
        assert!(matches!(places(circle), DocumentError::Wiring { source: WiringError::Cycle { .. }, .. }));
    }
    let ends = places("\"exposure\", \"exposure at=9 from=0\"");
    assert!(ends.to_string().contains("2 ends"), "{ends}");
    assert!(places("\"exposure at=0\"").to_string().contains("place 0 is there already"));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_damaged_document_panics(at in 0usize..4000, with in "[\\PC]{0,3}", cut in 0usize..8) {
        let json = main_chain().to_json().unwrap();
        let at = (0..=at % json.len()).rev().find(|&at| json.is_char_boundary(at)).unwrap();
        let end = (at + cut).min(json.len());
        let damaged = format!("{}{with}{}", &json[..at], json.get(end..).unwrap_or_default());
        if let Ok(document) = Document::from_json(&damaged) {
            prop_assert!(document.check().is_ok());
        }
    }

    #[test]
    fn no_chain_panics(text in "[a-z0-9=|\" .+,KLogC-]{0,60}") {
        let _ = chain::parse(&text);
    }
}

// ---- chains

#[test]
fn a_chain_that_cannot_be_read_says_where_and_what() {
    for (text, wanted) in [
        ("|", "operation 1 of the chain is empty; take away a '|'"),
        ("exposure stops=1 || white-balance", "operation 2 of the chain is empty; take away a '|'"),
        ("exposure | sharpen", "operation 2 of the chain: there is no 'sharpen'; there are exposure, white-balance"),
        ("Exposure", "there is no 'Exposure'"),
        ("exposure =1", "there is no setting ''"),
        ("exposure stops=", "operation 1 of the chain, exposure: stops=: a number is wanted"),
        ("exposure stops=inf", "a finite number is wanted"),
        ("exposure stops=nan", "a finite number is wanted"),
        ("exposure stops=-24.001", "stops=-24.001 is outside -24 to 24"),
        ("exposure domain=log domain=log", "domain is given twice"),
        ("exposure domain=Log", "'Log' is no domain; there are camera, camera-linear, scene, log, display, as-given"),
        ("exposure bypass=yes", "bypass=yes: true or false is wanted"),
        ("white-balance from=900K", "1000 to 100000"),
        ("white-balance from=D66", "D65"),
        ("white-balance method=Bredford", "one of Bradford, CAT02, CAT16, von-Kries, XYZ-scaling is wanted"),
        ("white-balance degree=1.1", "degree=1.1 is outside 0 to 1"),
        ("input-transform ei=800.5", "a whole number is wanted"),
        ("input-transform range=video", "full or legal is wanted"),
        (
            "output-transform display=CRT",
            "one of BT.1886, sRGB, Gamma2.2, P3-D65, Display-P3, BT.2020, PQ, HLG is wanted",
        ),
        ("output-transform rendering=nice", "one of aces-2.0, plain, bt2390 is wanted"),
        ("input-transform encoding=\"LogC3", "a quotation mark is not closed"),
    ] {
        let error = chain::parse(text).expect_err(text).to_string();
        assert!(error.contains(wanted), "{text}: {error}");
    }
}

#[test]
fn quotation_marks_keep_words_together() {
    let document = chain::parse("input-transform \"encoding=S-Log 3\" | white-balance method=\"von Kries\"").unwrap();
    assert_eq!(document.kit["input-transform"].get("encoding").unwrap(), "S-Log 3");
    assert_eq!(document.kit["white-balance"].get("method").unwrap(), "von-Kries");
    // A bar inside them is no end of an operation.
    let document = chain::parse("input-transform encoding=\"my|camera\"").unwrap();
    assert_eq!(document.kit["input-transform"].get("encoding").unwrap(), "my|camera");
}

#[test]
fn adaptations_are_written_as_chains_write_them_and_older_spellings_are_read() {
    for (older, now) in [("cat16", "CAT16"), ("von-kries", "von-Kries"), ("xyz-scaling", "XYZ-scaling")] {
        let read = |name: &str| -> ops::WhiteBalance {
            serde_json::from_str(&format!("{{\"method\":\"{name}\"}}")).unwrap_or_else(|error| panic!("{error}"))
        };
        assert_eq!(read(older), read(now));
        assert!(serde_json::to_string(&read(older)).unwrap().contains(&format!("\"{now}\"")));
        let chain = chain::parse(&format!("white-balance method={now}")).unwrap();
        assert_eq!(chain.kit["white-balance"].get("method").unwrap(), now);
    }
}
