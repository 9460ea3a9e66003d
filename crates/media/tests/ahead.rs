//! Reading ahead on real threads: with readers that say what they were asked and wait until they are let go, and with
//! files. Nothing here sleeps; what never happens is found by a watch that gives up after a minute.

#![expect(clippy::unwrap_used, reason = "a test may stop where it cannot go on")]

mod common;

use std::collections::BTreeMap;
use std::fs;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Barrier, Condvar, Mutex};
use std::thread;
use std::time::Duration;

use common::scatter;
use frame::{ByteOrder, Channels, Frame, Layout, Samples, Size};
use media::ahead::{AheadError, Decoded, Direction, InOrder, Limits, Position, ReadAhead, Reader};
use media::{About, MediaError, Picture, Sequence};
use proptest::prelude::*;

const WATCH: Duration = Duration::from_secs(60);
const LAYOUT: Layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
/// Bytes of a made-up frame.
const BYTES: u64 = 1000;

/// Fails where the work has not ended after a minute, in place of standing for ever.
fn watched<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> T {
    let (done, wait) = channel();
    let worker = thread::spawn(move || done.send(work()).is_ok());
    match wait.recv_timeout(WATCH) {
        Ok(result) => result,
        Err(_) if worker.is_finished() => panic!("the work failed, as said above"),
        Err(_) => panic!("nothing moves any more"),
    }
}

fn limits(frames: u64, threads: usize) -> Limits {
    Limits { budget_bytes: frames * BYTES, threads: Some(threads) }
}

fn list(numbers: impl IntoIterator<Item = i64>) -> Vec<(i64, PathBuf)> {
    numbers.into_iter().map(|number| (number, PathBuf::from(number.to_string()))).collect()
}

fn number_of(path: &Path) -> i64 {
    path.to_str().unwrap().parse().unwrap()
}

/// A picture that says its number.
fn made_up(number: i64) -> Picture {
    let mut bytes = vec![0; BYTES as usize];
    bytes[..8].copy_from_slice(&number.to_be_bytes());
    let frame = Frame::new(Size::new(2, 1), LAYOUT, bytes, 0).unwrap();
    Picture { frame, about: About::default() }
}

fn number_in(frame: &Frame) -> i64 {
    i64::from_be_bytes(frame.bytes().try_into().unwrap())
}

fn read_made_up(path: &Path) -> (Result<Picture, MediaError>, Duration) {
    (Ok(made_up(number_of(path))), Duration::from_millis(3))
}

fn play(at: i64, range: RangeInclusive<i64>) -> Position {
    Position { at, range, direction: Direction::Forward, looped: false }
}

/// A reader that says which frame it was asked for and then waits to be let go.
fn gated() -> (Box<Reader>, Receiver<i64>, Sender<()>) {
    let (says, asked) = channel();
    let (let_go, gate) = channel::<()>();
    let (says, gate) = (Mutex::new(says), Mutex::new(gate));
    let reader = move |path: &Path| {
        says.lock().unwrap().send(number_of(path)).unwrap();
        // Where nobody opens the gate any more, the test is over.
        let _ = gate.lock().unwrap().recv();
        read_made_up(path)
    };
    (Box::new(reader), asked, let_go)
}

#[test]
fn what_is_needed_now_is_read_now() {
    watched(|| {
        let (reader, asked, let_go) = gated();
        let ahead = ReadAhead::with_reader(list(1..=100), limits(50, 1), reader).unwrap();
        let next = || {
            let_go.send(()).unwrap();
            asked.recv().unwrap()
        };
        ahead.want(&play(10, 1..=100));
        assert_eq!(asked.recv().unwrap(), 10);
        assert_eq!([next(), next()], [11, 12]);
        // Asked for while 12 is under way: the last first, then on from the head.
        ahead.demand(80).unwrap();
        ahead.demand(90).unwrap();
        assert_eq!([next(), next(), next()], [90, 80, 13]);
        // The head jumps: what was asked for and not begun is forgotten, 13 is kept.
        ahead.demand(70).unwrap();
        ahead.want(&Position { direction: Direction::Backward, looped: true, ..play(31, 30..=33) });
        assert_eq!([next(), next(), next(), next()], [31, 30, 33, 32]);
        assert_eq!(ahead.cached_ranges(), [10..=13, 30..=31, 33..=33, 80..=80, 90..=90]);
        assert_eq!(ahead.held_bytes(), 10 * BYTES);
        assert_eq!(number_in(&ahead.try_get(13).unwrap().unwrap().frame), 13);
        assert!(ahead.try_get(32).unwrap().is_none());
        for (number, nearest) in [(32, 31), (84, 80), (85, 80), (86, 90), (1, 10), (1000, 90)] {
            assert_eq!(ahead.nearest(number).unwrap().0, nearest, "nearest to {number}");
        }
        drop(let_go);
    });
}

#[test]
fn what_was_read_ahead_keeps_out_nobody_who_waits() {
    watched(|| {
        let (reader, asked, let_go) = gated();
        let ahead = Arc::new(ReadAhead::with_reader(list(1..=100), limits(3, 1), reader).unwrap());
        ahead.want(&play(1, 1..=100));
        (0..3).for_each(|_| let_go.send(()).unwrap());
        assert_eq!([1, 2, 3].map(|_| asked.recv().unwrap()), [1, 2, 3]);
        // The budget is full, and nothing more is read until somebody waits.
        let waiting = thread::spawn({
            let ahead = Arc::clone(&ahead);
            move || ahead.wait(50).map(|decoded| number_in(&decoded.frame))
        });
        assert_eq!(asked.recv().unwrap(), 50);
        let_go.send(()).unwrap();
        assert_eq!(waiting.join().unwrap().unwrap(), 50);
        assert_eq!(ahead.peak_bytes(), 3 * BYTES);
        drop(let_go);
    });
}

#[test]
fn cancelling_lets_everybody_go_and_begins_nothing() {
    watched(|| {
        let (reader, asked, let_go) = gated();
        let ahead = Arc::new(ReadAhead::with_reader(list(1..=100), limits(50, 3), reader).unwrap());
        let_go.send(()).unwrap();
        ahead.wait(1).unwrap();
        assert_eq!(asked.recv().unwrap(), 1);
        let waiting = [11, 12, 13].map(|number| {
            let ahead = Arc::clone(&ahead);
            thread::spawn(move || ahead.wait(number).map(drop))
        });
        // What they wait for has begun, so they wait.
        let mut begun = [11, 12, 13].map(|_| asked.recv().unwrap());
        begun.sort_unstable();
        assert_eq!(begun, [11, 12, 13]);
        ahead.cancel();
        // All three return though nothing was let go.
        for waiter in waiting {
            assert!(matches!(waiter.join().unwrap(), Err(AheadError::Cancelled)));
        }
        assert!(matches!(ahead.demand(7), Err(AheadError::Cancelled)));
        let message = ahead.wait(7).unwrap_err().to_string();
        assert!(message.contains("cancelled"), "{message}");
        // What was under way is kept; all further reads are those that the next head wants.
        drop(let_go);
        ahead.want(&play(40, 40..=60));
        for number in [1, 11, 12, 13, 40] {
            assert_eq!(number_in(&ahead.wait(number).unwrap().frame), number);
        }
        drop(ahead);
        let further: Vec<i64> = asked.iter().collect();
        assert!(further.iter().all(|number| *number >= 40), "{further:?}");
    });
}

#[test]
fn dropping_waits_for_what_is_under_way() {
    watched(|| {
        let under_way = Arc::new(AtomicUsize::new(0));
        let counted = Arc::clone(&under_way);
        let reader = move |path: &Path| {
            counted.fetch_add(1, Ordering::SeqCst);
            let read = read_made_up(path);
            counted.fetch_sub(1, Ordering::SeqCst);
            read
        };
        let ahead = ReadAhead::with_reader(list(1..=10_000), limits(20_000, 4), Box::new(reader)).unwrap();
        ahead.want(&play(1, 1..=10_000));
        let kept = ahead.wait(5).unwrap();
        drop(ahead);
        assert_eq!(under_way.load(Ordering::SeqCst), 0);
        assert_eq!(Arc::strong_count(&under_way), 1, "the threads are gone, with their reader");
        assert_eq!(number_in(&kept.frame), 5, "a picture that was handed out stays");
    });
}

#[test]
fn a_budget_below_one_frame_reads_on() {
    watched(|| {
        for budget_bytes in [0, 1, BYTES - 1, BYTES, 2 * BYTES - 1] {
            let limits = Limits { budget_bytes, threads: Some(3) };
            let ahead = ReadAhead::with_reader(list(1..=20), limits, Box::new(read_made_up)).unwrap();
            let mut shown: Option<Decoded> = None;
            for number in (1..=20).chain((1..=20).rev()) {
                ahead.want(&play(number, 1..=20));
                // The one before stays on the screen until this one comes.
                let decoded = ahead.wait(number).unwrap();
                assert_eq!(number_in(&decoded.frame), number);
                shown = Some(decoded);
                assert!(ahead.held_bytes() <= budget_bytes.max(BYTES), "{} of {budget_bytes}", ahead.held_bytes());
            }
            assert!(ahead.peak_bytes() <= 2 * BYTES, "the one shown and the one that is waited for");
            drop(shown);
            let numbers: Vec<i64> = InOrder::with_reader(list(1..=20), limits, Box::new(read_made_up))
                .unwrap()
                .map(|reading| reading.number)
                .collect();
            assert_eq!(numbers, (1..=20).collect::<Vec<_>>());
        }
    });
}

#[test]
fn what_is_missing_is_said_with_its_neighbours() {
    let ahead = ReadAhead::with_reader(list([5, 3, 9]), limits(9, 1), Box::new(read_made_up)).unwrap();
    let said = |number| ahead.wait(number).unwrap_err().to_string();
    assert_eq!(said(4), "frame 4 is missing: bring it and open the sequence again, or go to 3 or 5");
    assert_eq!(said(1), "frame 1 is missing: the first one is 3");
    assert_eq!(said(10), "frame 10 is missing: the last one is 9");
    assert!(matches!(ahead.demand(4), Err(AheadError::NotThere { number: 4, before: Some(3), after: Some(5) })));
    assert!(matches!(ahead.try_get(4), Err(AheadError::NotThere { .. })));
    assert_eq!(number_in(&ahead.wait(9).unwrap().frame), 9, "the list need not be in order");

    let empty = ReadAhead::with_reader(vec![], limits(9, 1), Box::new(read_made_up)).unwrap();
    empty.want(&play(1, 1..=5));
    assert_eq!(empty.wait(1).unwrap_err().to_string(), "frame 1 is missing: the sequence is empty");
    assert!(empty.nearest(1).is_none() && empty.cached_ranges().is_empty());
    assert_eq!(InOrder::with_reader(vec![], limits(9, 1), Box::new(read_made_up)).unwrap().count(), 0);

    let twice = ReadAhead::with_reader(list([5, 3, 5]), limits(9, 1), Box::new(read_made_up));
    assert!(matches!(twice.err(), Some(MediaError::Twice { number: 5, .. })));
}

#[test]
fn a_reader_that_panics_is_a_damaged_frame() {
    watched(|| {
        let reader = |path: &Path| if number_of(path) == 2 { panic!("as planned") } else { read_made_up(path) };
        let frames: Vec<_> = InOrder::with_reader(list(1..=3), limits(9, 2), Box::new(reader)).unwrap().collect();
        let said: Vec<bool> = frames.iter().map(|reading| reading.outcome.is_ok()).collect();
        assert_eq!(said, [true, false, true]);
        let message = frames[1].outcome.as_ref().unwrap_err().to_string();
        assert!(message.starts_with("2: the file is damaged"), "{message}");
    });
}

#[test]
fn a_render_keeps_all_its_threads_busy() {
    const THREADS: usize = 5;
    watched(|| {
        // Nobody passes before all threads are reading at once; the first frame alone is read by itself.
        let together = Barrier::new(THREADS);
        let reader = move |path: &Path| {
            if number_of(path) > 0 {
                together.wait();
            }
            read_made_up(path)
        };
        let last = 20 * THREADS as i64;
        let frames =
            InOrder::with_reader(list(0..=last), limits(2 * THREADS as u64, THREADS), Box::new(reader)).unwrap();
        let read: Vec<i64> = frames
            .map(|reading| {
                assert_eq!(reading.spent.reading, Duration::from_millis(3));
                let (picture, replaced) = reading.outcome.unwrap();
                assert!(replaced.is_none());
                assert_eq!(number_in(&picture.frame), reading.number);
                reading.number
            })
            .collect();
        assert_eq!(read, (0..=last).collect::<Vec<_>>());
    });
}

#[test]
fn a_render_reads_ahead_only_as_far_as_the_budget_goes() {
    watched(|| {
        // Frames from 5 on are not let go.
        let gate = Arc::new((Mutex::new(4), Condvar::new()));
        let (says, asked) = channel();
        let says = Mutex::new(says);
        let reader = {
            let gate = Arc::clone(&gate);
            move |path: &Path| {
                let number = number_of(path);
                says.lock().unwrap().send(number).unwrap();
                drop(gate.1.wait_while(gate.0.lock().unwrap(), |last| number > *last).unwrap());
                read_made_up(path)
            }
        };
        let mut frames = InOrder::with_reader(list(1..=100), limits(4, 2), Box::new(reader)).unwrap();
        let mut begun: Vec<i64> = (0..4).map(|_| asked.recv().unwrap()).collect();
        begun.sort_unstable();
        assert_eq!(begun, [1, 2, 3, 4]);
        assert!(asked.try_recv().is_err());
        assert_eq!(frames.next().unwrap().number, 1);
        // Room for one more, and for no other.
        assert_eq!(asked.recv().unwrap(), 5);
        assert_eq!(frames.peak_bytes(), 4 * BYTES);
        assert_eq!([2, 3, 4].map(|_| frames.next().unwrap().number), [2, 3, 4]);
        // The end from another thread, while the render waits for a frame that does not come.
        let canceller = frames.canceller();
        let ending = thread::spawn(move || (frames.next().map(|reading| reading.number), frames));
        canceller.cancel();
        let (last, frames) = ending.join().unwrap_or_else(|_| panic!("the render failed"));
        assert_eq!(last, None);
        // Dropping it waits for the reads under way.
        *gate.0.lock().unwrap() = i64::MAX;
        gate.1.notify_all();
        drop(frames);
    });
}

#[test]
fn thousands_of_frames_are_no_more_work_each() {
    const LAST: i64 = 30_000;
    watched(|| {
        let numbers: Vec<i64> = InOrder::with_reader(list(1..=LAST), limits(9000, 2), Box::new(read_made_up))
            .unwrap()
            .map(|reading| reading.number)
            .collect();
        assert!(numbers.iter().copied().eq(1..=LAST));
        let ahead = ReadAhead::with_reader(list(1..=LAST), limits(9000, 2), Box::new(read_made_up)).unwrap();
        for number in 1..=LAST {
            ahead.want(&Position { looped: true, ..play(number, 1..=LAST) });
            ahead.wait(number).unwrap();
        }
        // Everywhere, as when scrubbing: 7919 is a prime.
        for step in 1..=LAST {
            ahead.want(&play(step * 7919 % LAST + 1, 1..=LAST));
            assert!(ahead.nearest(step).is_some());
        }
        assert!(ahead.peak_bytes() <= 9000 * BYTES);
    });
}

/// A few small DPX files, and what is in them.
fn files(folder: &Path, numbers: &[i64]) -> BTreeMap<i64, Frame> {
    let write = |number: &i64| {
        let size = Size::new(8 + *number as u32, 5);
        let frame = scatter(size, LAYOUT);
        media::write(&path_of(folder, *number), &frame, &About::default()).unwrap();
        (*number, frame)
    };
    numbers.iter().map(write).collect()
}

fn path_of(folder: &Path, number: i64) -> PathBuf {
    folder.join(format!("deck.{number:04}.dpx"))
}

#[test]
fn files_come_in_order_with_their_errors_in_place() {
    let folder = tempfile::tempdir().unwrap();
    let written = files(folder.path(), &[1, 2, 3, 5, 6, 7, 8]);
    let sequence = Sequence::open(folder.path()).unwrap();
    fs::write(path_of(folder.path(), 3), b"SDPX and nothing more").unwrap();
    fs::remove_file(path_of(folder.path(), 6)).unwrap();
    let mut numbers = Vec::new();
    for reading in InOrder::new(&sequence, Limits { budget_bytes: 3000, threads: None }).unwrap() {
        numbers.push(reading.number);
        match (reading.number, reading.outcome) {
            (3, outcome) => assert!(matches!(*outcome.unwrap_err(), MediaError::Truncated { .. })),
            (6, outcome) => assert!(matches!(*outcome.unwrap_err(), MediaError::Missing { .. })),
            (number, outcome) => assert_eq!(outcome.unwrap().0.frame, written[&number]),
        }
    }
    assert_eq!(numbers, [1, 2, 3, 5, 6, 7, 8]);
}

#[test]
fn a_volume_that_comes_back_is_read_again() {
    let folder = tempfile::tempdir().unwrap();
    let here = folder.path().join("here");
    fs::create_dir(&here).unwrap();
    let written = files(&here, &[1, 2, 3]);
    let sequence = Sequence::open(&here).unwrap();
    let away = folder.path().join("away");
    watched(move || {
        let ahead = ReadAhead::new(&sequence, Limits { budget_bytes: 1 << 20, threads: Some(2) }).unwrap();
        assert_eq!(*ahead.wait(1).unwrap().frame, written[&1]);
        fs::rename(&here, &away).unwrap();
        let message = ahead.wait(2).unwrap_err().to_string();
        assert!(message.contains("deck.0002.dpx: no such file"), "{message}");
        assert!(matches!(ahead.try_get(2), Err(AheadError::Failed(_))), "the answer stays");
        assert!(matches!(ahead.try_get(2), Err(AheadError::Failed(_))), "until somebody asks");
        assert_eq!(*ahead.wait(1).unwrap().frame, written[&1], "what is in memory needs no volume");
        fs::rename(&away, &here).unwrap();
        let decoded = ahead.wait(2).unwrap();
        assert_eq!(*decoded.frame, written[&2]);
        assert!(decoded.replaced.is_none() && decoded.about.rate.is_none());
    });
}

#[derive(Debug, Clone)]
enum Act {
    Want(Position),
    Demand(i64),
    Wait(i64),
    Get(i64),
    Nearest(i64),
    LetGo(usize),
    Cancel,
}

fn acts() -> impl Strategy<Value = Vec<Act>> {
    let number = || -1i64..32;
    let wanted =
        (number(), number(), number(), any::<bool>(), any::<bool>()).prop_map(|(at, first, last, back, looped)| {
            let direction = if back { Direction::Backward } else { Direction::Forward };
            Act::Want(Position { at, range: first..=last, direction, looped })
        });
    let one = prop_oneof![
        3 => wanted,
        3 => number().prop_map(Act::Demand),
        3 => number().prop_map(Act::Wait),
        3 => number().prop_map(Act::Get),
        1 => number().prop_map(Act::Nearest),
        3 => (0usize..4).prop_map(Act::LetGo),
        1 => Just(Act::Cancel),
    ];
    prop::collection::vec(one, 0..60)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Any acts on real threads. Frames 10 and 20 are missing and 7 cannot be read.
    #[test]
    fn every_frame_that_is_waited_for_arrives(acts in acts(), budget in 0u64..12, threads in 1usize..5) {
        let (reads, peak) = watched(move || {
            let reads = Arc::new(Mutex::new(BTreeMap::<i64, usize>::new()));
            let counted = Arc::clone(&reads);
            let reader = move |path: &Path| {
                let number = number_of(path);
                *counted.lock().unwrap().entry(number).or_default() += 1;
                if number == 7 {
                    return (Err(MediaError::Missing { path: path.to_owned() }), Duration::ZERO);
                }
                read_made_up(path)
            };
            let is_there = |number: i64| (1..=30).contains(&number) && number % 10 != 0;
            let frames = list((1..=30).filter(|number| is_there(*number)));
            // Half of the cases have room for everything.
            let room = if budget % 2 == 0 { budget } else { 100 };
            let ahead = ReadAhead::with_reader(frames, limits(room, threads), Box::new(reader)).unwrap();
            let (mut in_hands, mut cancelled) = (Vec::new(), false);
            let mut most = 0;
            for act in acts {
                match act {
                    Act::Want(position) => {
                        ahead.want(&position);
                        cancelled = false;
                    }
                    Act::Demand(number) => assert_eq!(ahead.demand(number).is_ok(), is_there(number) && !cancelled),
                    Act::Wait(number) => match ahead.wait(number) {
                        Ok(decoded) => {
                            assert_eq!(number_in(&decoded.frame), number);
                            in_hands.push(decoded);
                        }
                        Err(AheadError::NotThere { .. }) => assert!(!is_there(number)),
                        Err(AheadError::Cancelled) => assert!(cancelled && is_there(number)),
                        Err(AheadError::Failed(_)) => assert_eq!(number, 7),
                    },
                    Act::Get(number) => match ahead.try_get(number) {
                        Ok(Some(decoded)) => assert_eq!(number_in(&decoded.frame), number),
                        Ok(None) => assert!(is_there(number)),
                        Err(_) => assert!(!is_there(number) || number == 7),
                    },
                    Act::Nearest(number) => {
                        if let Some((nearest, decoded)) = ahead.nearest(number) {
                            assert_eq!(number_in(&decoded.frame), nearest);
                        }
                    }
                    Act::LetGo(which) if which < in_hands.len() => drop(in_hands.swap_remove(which)),
                    Act::LetGo(_) => {}
                    Act::Cancel => {
                        ahead.cancel();
                        cancelled = true;
                    }
                }
                most = most.max(in_hands.len() as u64);
            }
            let peak = ahead.peak_bytes();
            assert!(peak <= BYTES * room.max(most + 2), "{peak} of {room} frames, {most} in hands");
            drop(ahead);
            let reads = reads.lock().unwrap().clone();
            (reads, (room == 100).then_some(peak))
        });
        if peak.is_some() {
            let twice: Vec<_> = reads.iter().filter(|(number, times)| **number != 7 && **times > 1).collect();
            prop_assert!(twice.is_empty(), "read again though they were in memory: {twice:?}");
        }
    }
}

/// Looking out for a frame asks for nothing: it takes the frame if it comes, and has its patience.
#[test]
fn looking_out_for_a_frame_does_not_put_it_first() {
    watched(|| {
        let (reader, asked, let_go) = gated();
        let ahead = Arc::new(ReadAhead::with_reader(list(1..=100), limits(50, 1), reader).unwrap());
        ahead.want(&play(10, 1..=100));
        assert_eq!(asked.recv().unwrap(), 10);
        assert!(ahead.look_out(80, Duration::ZERO).unwrap().is_none());
        assert!(ahead.look_out(10, Duration::from_millis(1)).unwrap().is_none(), "it is under way");
        let looking = thread::spawn({
            let ahead = Arc::clone(&ahead);
            move || ahead.look_out(11, WATCH).map(|found| found.map(|decoded| number_in(&decoded.frame)))
        });
        (0..2).for_each(|_| let_go.send(()).unwrap());
        assert_eq!([1, 2].map(|_| asked.recv().unwrap()), [11, 12], "and not 80");
        assert_eq!(looking.join().unwrap().unwrap(), Some(11));
        let looking = thread::spawn({
            let ahead = Arc::clone(&ahead);
            move || ahead.look_out(99, WATCH)
        });
        // Whether it waits already or not.
        ahead.cancel();
        assert!(matches!(looking.join().unwrap(), Err(AheadError::Cancelled)));
        assert!(matches!(ahead.look_out(101, WATCH), Err(AheadError::NotThere { .. })));
        drop(let_go);
    });
}
