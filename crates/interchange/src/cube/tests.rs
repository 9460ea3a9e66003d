use colour::lut::{Lut, LutKind};
use proptest::prelude::*;

use super::*;

const CURVE: &str = "LUT_1D_SIZE 2\n0 0 0\n1 1 1\n";

fn problem(text: &str) -> String {
    read(text.as_bytes(), "a.cube").unwrap_err().to_string()
}

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        -2.0..2.0f64,
        prop_oneof![Just(0.0), Just(-0.0), Just(1.0), Just(Lut::LARGEST), Just(-Lut::LARGEST), Just(f64::MIN_POSITIVE)],
        any::<f64>().prop_filter("numbers of a LUT", |number| number.abs() <= Lut::LARGEST),
    ]
}

fn any_cube() -> impl Strategy<Value = Cube> {
    let kind = prop_oneof![Just(LutKind::OneD), Just(LutKind::ThreeD)];
    let title = proptest::option::of("[ !#-~]{0,200}");
    let entries = (kind, 2usize..5).prop_flat_map(|(kind, size)| {
        let entry = [number(), number(), number()];
        (Just(kind), Just(size), proptest::collection::vec(entry, kind.entries(size)))
    });
    let domain = prop_oneof![Just(([0.0; 3], [1.0; 3])), Just(([-0.5, 0.0, 1e-7], [1.5, 1.0, 1e9]))];
    (title, entries, domain).prop_map(|(title, (kind, size, entries), (low, high))| Cube {
        title,
        lut: Lut::new(kind, size, low, high, entries).unwrap(),
    })
}

proptest! {
    #[test]
    fn what_is_written_is_read_as_the_same_to_the_last_bit(cube in any_cube()) {
        let text = write(&cube).unwrap();
        let again = read(text.as_bytes(), "a.cube").unwrap();
        // Debug prints tell 0 from -0, which equality does not.
        prop_assert_eq!(format!("{again:?}"), format!("{cube:?}"));
        prop_assert!(text.is_ascii() && text.lines().all(|line| line.len() <= LONGEST_LINE));
        let foreign = format!("\u{feff}# caf\u{e9}\r\n\r\n{}", text.replace('\n', "\r\n"));
        prop_assert_eq!(read(foreign.as_bytes(), "a.cube").unwrap(), cube);
    }

    #[test]
    fn no_text_makes_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200), words in "(LUT_[13]D_SIZE|TITLE|DOMAIN_M(IN|AX)|[0-9.e-]{0,5}|\"| |\n){0,40}") {
        // Nothing of the sort must be a table without its entries.
        for text in [bytes.as_slice(), words.as_bytes()] {
            if let Ok(cube) = read(text, "a.cube") {
                prop_assert_eq!(cube.lut.entries().len(), cube.lut.kind().entries(cube.lut.size()));
            }
        }
    }
}

#[test]
fn keywords_come_in_any_order_and_comments_anywhere() {
    let text = "# first\nDOMAIN_MAX 2 2 2\n\n  TITLE \"a \"\tquoted\" one\"\nLUT_1D_SIZE 2\n# between\nDOMAIN_MIN -1 -1 -1\n\
                0 0 0\n# amid\n\t+1  .5\t1e0 \n";
    let cube = read(text.as_bytes(), "a.cube").unwrap();
    assert_eq!(cube.title.as_deref(), Some("a \"\tquoted\" one"));
    assert_eq!((cube.lut.low(), cube.lut.high()), ([-1.0; 3], [2.0; 3]));
    assert_eq!(cube.lut.entries(), [[0.0; 3], [1.0, 0.5, 1.0]]);
}

#[test]
fn what_does_not_fit_is_named_with_its_line_and_what_to_do() {
    let entries = "0 0 0\n1 1 1\n";
    for (text, wanted) in [
        (String::new(), "a.cube: it has neither LUT_1D_SIZE nor LUT_3D_SIZE"),
        (entries.to_string(), "a.cube, line 1: the table begins before its size"),
        (
            "LUT_1D_SIZE 2\n0 0 0\n".to_string(),
            "a.cube: a 1D LUT of size 2 has 2 entries, not 1; the file is cut short",
        ),
        (format!("{CURVE}2 2 2\n"), "a.cube, line 4: the table goes on after the 2 entries"),
        (format!("LUT_3D_SIZE 2\n{entries}"), "a 3D LUT of size 2 has 8 entries, not 2"),
        (format!("LUT_1D_SIZE 2\nLUT_3D_SIZE 2\n{entries}"), "line 2: a size is given twice; the first is in line 1"),
        (format!("DOMAIN_MIN 0 0 0\nDOMAIN_MIN 0 0 0\n{CURVE}"), "line 2: DOMAIN_MIN is given twice"),
        (format!("{CURVE}TITLE \"late\"\n"), "line 4: TITLE stands after numbers of the table"),
        (format!("TITLE bare\n{CURVE}"), "line 1: a title stands between quotation marks"),
        (format!("DOMAIN_MIN 1 0 0\n{CURVE}"), "line 1: the domain from 1 to 1 has no extent"),
        (format!("DOMAIN_MIN 0 0 0\nDOMAIN_MAX 1 1 -1\n{CURVE}"), "line 2: the domain from 0 to -1 has no extent"),
        (format!("DOMAIN_MIN 0 0\n{CURVE}"), "line 1: three numbers are wanted, not '0 0'"),
        ("LUT_1D_SIZE 1\n0 0 0\n".to_string(), "line 1: '1' is no size of a 1D LUT; 2 to 65536 is"),
        ("LUT_1D_SIZE 65537\n".to_string(), "line 1: '65537' is no size"),
        ("LUT_3D_SIZE 257\n".to_string(), "line 1: '257' is no size of a 3D LUT; 2 to 256 is"),
        ("LUT_3D_SIZE two\n".to_string(), "line 1: 'two' is no size"),
        ("LUT_1D_SIZE 2\n0 0 0 0\n".to_string(), "line 2: three numbers are wanted, not '0 0 0 0'"),
        ("LUT_1D_SIZE 2\n0 0 1,5\n".to_string(), "line 2: '1,5' is no number"),
        ("LUT_1D_SIZE 2\n0 0 1e38\n".to_string(), "line 2: '1e38' is no number within 1e37 of zero"),
        ("LUT_1D_SIZE 2\n0 0 -inf\n".to_string(), "line 2: '-inf' is no number"),
        (format!("SIZE 2\n{CURVE}"), "line 1: 'SIZE' is no keyword of a Cube LUT; these are TITLE"),
        (format!("lut_1d_size 2\n{entries}"), "line 1: 'lut_1d_size' is no keyword"),
        (format!("TITLE \"caf\u{e9}\"\n{CURVE}"), "line 1: it is not plain ASCII text"),
        (format!("TITLE \"{}\"\n{CURVE}", "x".repeat(250)), "line 1: it has 258 bytes where 250 are allowed"),
        ("<?xml version=\"1.0\"?>\n".to_string(), "line 1: '<?xml' is no number"),
    ] {
        let found = problem(&text);
        assert!(found.contains(wanted), "{text}: {found}");
    }
}

#[test]
fn a_title_that_does_not_fit_is_refused() {
    let lut = read(CURVE.as_bytes(), "a.cube").unwrap().lut;
    for title in ["two\nlines", "a \"quoted\" one", "caf\u{e9}", &"x".repeat(201)] {
        let cube = Cube { title: Some(title.to_string()), lut: lut.clone() };
        assert_eq!(write(&cube), Err(WriteError::Title(title.to_string())));
    }
    assert!(write(&Cube { title: None, lut }).unwrap().starts_with("LUT_1D_SIZE"));
}

#[test]
fn the_largest_grid_people_use_is_read_whole() {
    let grid = |rgb: [f64; 3]| [rgb[0] / 3.0, rgb[1] * rgb[2], rgb[2]];
    let lut = Lut::of(LutKind::ThreeD, 65, [0.0; 3], [1.0; 3], grid).unwrap();
    let text = write(&Cube { title: None, lut: lut.clone() }).unwrap();
    assert_eq!(read(text.as_bytes(), "a.cube").unwrap().lut, lut);
}
