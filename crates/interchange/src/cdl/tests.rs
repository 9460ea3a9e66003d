use super::*;

fn night() -> CdlFile {
    let about = |word: &str| About {
        descriptions: vec![format!("{word} <one> & \"two\"")],
        input: Some("ACEScct".to_string()),
        viewing: None,
    };
    let galley = Correction {
        about: about("galley"),
        sop_descriptions: vec!["from the card".to_string()],
        media: Some("galley_010.####.dpx".to_string()),
        slope: [1.1, 0.1 + 0.2, 1.0],
        offset: [-0.0625, 1e-7, 0.0],
        power: [1.25, 0.8, 1.0 / 3.0],
        saturation: 0.9,
        ..Correction::neutral("galley_010")
    };
    let deck = Correction { saturation_descriptions: vec!["paler".to_string()], ..Correction::neutral("deck & rail") };
    CdlFile { form: Form::List, about: about("ferry"), corrections: vec![galley, deck], left_out: Vec::new() }
}

#[test]
fn what_is_written_is_read_back_to_the_bit() {
    let list = night();
    assert_eq!(read(write(&list).unwrap().as_bytes(), "x.cdl").unwrap(), list);
    let no_media = |one: &Correction| Correction { media: None, ..one.clone() };
    let collection = CdlFile {
        form: Form::Collection,
        corrections: list.corrections.iter().map(no_media).collect(),
        ..list.clone()
    };
    assert_eq!(read(write(&collection).unwrap().as_bytes(), "x.ccc").unwrap(), collection);
    let one = CdlFile {
        form: Form::Correction,
        about: About::default(),
        corrections: vec![no_media(&list.corrections[0])],
        left_out: Vec::new(),
    };
    assert_eq!(read(write(&one).unwrap().as_bytes(), "x.cc").unwrap(), one);
}

#[test]
fn elements_of_the_first_release_and_strangers_are_met() {
    let text = "<ColorCorrection id='a'><ASC_SOP><Slope>1 2 3</Slope><Offset>0 0 0</Offset>\n\
                <Power>1 1 1</Power></ASC_SOP><Mood>blue</Mood><ASC_SAT><Saturation>.5</Saturation></ASC_SAT></ColorCorrection>";
    let file = read(text.as_bytes(), "a.cc").unwrap();
    assert_eq!((file.corrections[0].slope, file.corrections[0].saturation), ([1.0, 2.0, 3.0], 0.5));
    assert_eq!(file.left_out, ["line 2: Mood"]);
    let bare = read(b"\xef\xbb\xbf<ColorCorrection id='a'/>", "a.cc").unwrap();
    assert_eq!(bare.corrections, [Correction::neutral("a")]);
}

#[test]
fn faults_name_file_line_element_and_remedy() {
    let sop = |inside: &str| format!("<ColorCorrection id='a'>\n<SOPNode>{inside}</SOPNode></ColorCorrection>");
    let whole = "<Slope>1 1 1</Slope><Offset>0 0 0</Offset><Power>1 1 1</Power>";
    let list = |inside: &str| format!("<ColorDecisionList>\n{inside}</ColorDecisionList>");
    for (text, words) in [
        (String::new(), &["bad.cdl", "whole"][..]),
        ("<ColorCorrection id='a'>".to_string(), &["line 1", "whole"]),
        ("<Lut/>".to_string(), &["Lut", "ColorDecisionList"]),
        ("<ColorCorrection/>".to_string(), &["ColorCorrection", "id"]),
        ("<ColorCorrection id=' '/>".to_string(), &["empty", "name"]),
        ("<ColorCorrectionCollection/>".to_string(), &["no correction"]),
        (list("<ColorDecision/>"), &["line 2", "ColorDecision", "put one"]),
        (list("<ColorDecision><ColorCorrectionRef ref='b'/></ColorDecision>"), &["ColorCorrectionRef", "itself"]),
        (sop(&whole.replace("1 1 1", "1 1")), &["line 2", "Slope", "3 numbers", "'1 1'"]),
        (sop(&whole.replace("0 0 0", "0 zero 0")), &["'zero'", "Offset", "no number"]),
        (sop(&whole.replace("0 0 0", "0 NaN 0")), &["'NaN'", "Offset"]),
        (sop(&whole.replace("<Power>1 1 1</Power>", "")), &["SOPNode", "Power", "all three"]),
        (sop(&whole.replace("<Power>1 1 1", "<Power>1 0 1")), &["Power", "'a'", "above 0"]),
        (sop(&whole.replace("<Slope>1", "<Slope>-1")), &["Slope", "0 or more"]),
        (sop(&format!("{whole}<Slope>1 1 1</Slope>")), &["Slope", "twice"]),
        ("<ColorCorrection id='a'><SatNode/></ColorCorrection>".to_string(), &["SatNode", "Saturation"]),
    ] {
        let error = read(text.as_bytes(), "bad.cdl").unwrap_err().to_string();
        for word in words {
            assert!(error.contains(word), "{text}\n{error} lacks {word}");
        }
    }
    // Neither entities that grow nor depth brings the reader down.
    let grown = "<!DOCTYPE a [<!ENTITY b 'bb'>]><ColorCorrection id='&b;'/>";
    assert!(read(grown.as_bytes(), "b.cc").is_err());
    let deep = format!("<ColorCorrection id='a'>{}{}</ColorCorrection>", "<a>".repeat(50_000), "</a>".repeat(50_000));
    assert!(read(deep.as_bytes(), "b.cc").is_ok_and(|file| file.left_out == ["line 1: a"]));
    assert!(read(b"<a>\n\xff</a>", "b.cc").unwrap_err().to_string().contains("b.cc, line 2: it is not UTF-8"));
}

#[test]
fn what_the_list_does_not_allow_is_not_written() {
    let mut file = night();
    file.corrections[1].power[2] = 0.0;
    assert!(write(&file).unwrap_err().to_string().contains("'deck & rail': Power must be above 0"));
    file.corrections[0].id.clear();
    assert!(write(&file).unwrap_err().to_string().contains("correction 1 has no id"));
    let two = CdlFile { form: Form::Correction, ..night() };
    assert!(write(&two).unwrap_err().to_string().contains("not 2"));
}
