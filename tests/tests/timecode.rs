//! Time code against tables computed outside.
//!
//! Sources: SMPTE ST 12-1 for drop-frame counting; the bit table of the OpenEXR time code (SMPTE 12M-1999, 60-field
//! packing) for words, whose nibbles DPX shares.

use media::{Address, Counting, Timecode};
use tests::table::rows;

#[test]
fn counts_become_the_published_addresses() {
    let rows = rows("timecode.tsv");
    assert!(rows.len() > 50, "the table is there: {} rows", rows.len());
    for row in rows {
        let (system, count, address) = (&row["system"], &row["frame_count"], &row["address"]);
        let (rate, kind) = system.split_once(' ').expect("rate and kind");
        let drop = kind == "drop-frame";
        let nominal = rate.split('/').next().and_then(|text| text.parse().ok()).expect("a rate");
        let counting = Counting::new(nominal, drop).expect("a known rate");
        let count: u64 = count.parse().expect("a count");
        let got = counting.address_from_count(count);
        assert_eq!(&got.to_string(), address, "{system}, frame {count}");
        let back = counting.count_from_address(got).expect("an address that exists");
        assert_eq!(back, count % counting.frames_a_day(), "{system}, {address}");
    }
}

#[test]
fn addresses_become_the_published_words() {
    let rows = rows("timecode_words.tsv");
    assert!(rows.len() > 4, "the table is there");
    for row in rows {
        let (address, drop, word) = (&row["address"], &row["drop_flag"], &row["timeAndFlags_word"]);
        let address: Address = address.parse().expect("an address");
        let address = Address { drop: drop == "1", ..address };
        let word = u32::from_str_radix(word.trim_start_matches("0x"), 16).expect("a word");
        assert_eq!(Timecode::from_address(address).expect("a word").time, word, "{address}");
        assert_eq!(Timecode { time: word, user: 0 }.address(), Ok(address));
    }
}
