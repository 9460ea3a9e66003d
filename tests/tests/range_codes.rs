//! Codes of full and legal range in every depth, as frames are packed and unpacked, against
//! `tests/data/range_codes.tsv` (Rec. ITU-R BT.709-6, items 4.6 to 4.8; BT.2100-2, table 9).
//!
//! Rows of colour difference and of codes that a serial interface keeps for itself have no counterpart in R, G, B frames.

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use tests::table::{Row, number, rows};

const ONE: Size = Size { width: 1, height: 1 };

fn layout(row: &Row) -> Layout {
    let bits = row["bits"].parse().expect("a number of bits");
    let samples = if bits == 10 { Samples::Ten } else { Samples::Codes(bits) };
    Layout::new(Channels::Rgb, samples, ByteOrder::Big)
}

fn range(row: &Row) -> Range {
    if row["range"] == "legal" { Range::Legal } else { Range::Full }
}

/// The bytes of a pixel whose three samples are this code.
fn bytes(layout: Layout, code: u32) -> Vec<u8> {
    if layout.samples == Samples::Ten {
        return (code << 22 | code << 12 | code << 2).to_be_bytes().to_vec();
    }
    u16::try_from(code).expect("16 bits at most").to_be_bytes().repeat(3)
}

#[test]
fn signals_become_the_published_codes() {
    let mut count = 0;
    for row in rows("range_codes.tsv").iter().filter(|row| row["what"] == "luma") {
        let layout = layout(row);
        // Ties are rounded up, and 0.9 of 255 is one; the nearest single float may lie below it.
        let exact = number(row, "signal");
        let near = exact as f32;
        let signal = if f64::from(near) < exact { near.next_up() } else { near };
        let frame = Frame::from_pixels(&[[signal, signal, signal, 1.0]], ONE, layout, range(row));
        assert_eq!(frame.bytes(), bytes(layout, number(row, "code") as u32), "{row:?}");
        count += 1;
    }
    assert!(count >= 40, "{count} rows in four depths");
}

#[test]
fn codes_become_the_published_signals() {
    let mut count = 0;
    for row in rows("range_codes.tsv").iter().filter(|row| row["what"] == "signal") {
        let layout = layout(row);
        let frame = Frame::new(ONE, layout, bytes(layout, number(row, "code") as u32), 0).expect("a pixel");
        let [red, ..] = frame.to_pixels(range(row))[0];
        // Single float, of numbers near 1: two steps.
        assert!((f64::from(red) - number(row, "signal")).abs() < 2.4e-7, "{row:?}: {red}");
        count += 1;
    }
    assert!(count > 0, "no signal rows");
}
