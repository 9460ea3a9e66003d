//! However long a sequence is, its pictures take no more memory than the user allows, and the frames are the same.

use frame::Size;
use tests::frames::{files, render, sequence};

/// 130 KB a frame of 10-bit DPX, as much for its result.
const SIZE: Size = Size::new(240, 135);
const FRAMES: i64 = 40;

#[test]
fn pictures_stay_within_the_memory_that_is_allowed() {
    let dir = tempfile::tempdir().expect("a folder");
    let original = sequence(&dir.path().join("in"), FRAMES, SIZE);
    let ample = render(&original, &dir.path().join("ample")).with("--json").done().json();
    let whole = files(&dir.path().join("ample"));
    assert_eq!(whole.len() as i64, FRAMES);
    assert!(ample["peak_bytes"].as_u64() > Some(1 << 20), "what there is room for is read ahead: {ample}");
    for (memory, bytes) in [("1MiB", 1 << 20), ("1.5MiB", 3 << 19)] {
        let out = dir.path().join(memory);
        let report = render(&original, &out).with("--memory").with(memory).with("--json").done().json();
        assert_eq!(report["memory_bytes"].as_u64(), Some(bytes), "{report}");
        assert!(report["peak_bytes"].as_u64() <= Some(bytes), "{report}");
        assert!(files(&out) == whole, "{memory}: the same frames");
    }
}

#[test]
fn one_frame_is_always_held() {
    let dir = tempfile::tempdir().expect("a folder");
    let original = sequence(&dir.path().join("in"), 6, SIZE);
    let out = dir.path().join("out");
    let report = render(&original, &out).with("--memory").with("1KiB").with("--json").done().json();
    assert_eq!(files(&out).len(), 6);
    // One that is read, and one on its way with its result: nothing more.
    let frame = 240 * 135 * 4;
    assert!(report["peak_bytes"].as_u64() <= Some(3 * frame + (16 << 10)), "{report}");
}

#[test]
fn what_is_no_amount_is_refused() {
    let dir = tempfile::tempdir().expect("a folder");
    let original = sequence(&dir.path().join("in"), 1, SIZE);
    render(&original, &dir.path().join("out")).with("--memory").with("much").fails(2, &["512MiB"]);
}
