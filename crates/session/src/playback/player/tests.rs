//! Playing on threads, with files that are slow, gone or back again on purpose. Nothing here sleeps.

use std::fs;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};

use frame::{ByteOrder, Channels, Frame, Layout, Samples, Size};
use media::About;

use super::*;

const WATCH: Duration = Duration::from_secs(60);

/// Gives back the number that a frame holds.
#[derive(Default)]
struct Echo {
    on_its_way: VecDeque<i64>,
}

impl Work for Echo {
    type Picture = i64;
    type Chain = ();

    fn has_room(&self) -> bool {
        self.on_its_way.len() < 2
    }

    fn send(&mut self, _: &Task, decoded: &Decoded, _: &Position) -> Result<(), Fault> {
        self.on_its_way.push_back(i64::from_be_bytes(decoded.frame.bytes().try_into().unwrap()));
        Ok(())
    }

    fn receive(&mut self) -> Result<i64, Fault> {
        self.on_its_way.pop_front().ok_or_else(|| Fault::failed("nothing"))
    }

    fn set(&mut self, (): ()) {}
}

struct Wire(Sender<Shown<i64>>);

impl Screen<i64> for Wire {
    fn show(&mut self, shown: Shown<i64>) {
        // A test that has seen enough no longer listens.
        let _ = self.0.send(shown);
    }
}

fn made_up(number: i64) -> Picture {
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    let frame = Frame::new(Size::new(2, 1), layout, number.to_be_bytes().to_vec(), 0).unwrap();
    Picture { frame, about: About::default() }
}

/// A door that is shut until it is opened.
#[derive(Clone, Default)]
struct Door(Arc<(Mutex<bool>, Condvar)>);

impl Door {
    fn open(&self) {
        *self.0.0.lock().unwrap() = true;
        self.0.1.notify_all();
    }

    fn pass(&self) {
        let mut open = self.0.0.lock().unwrap();
        while !*open {
            open = self.0.1.wait(open).unwrap();
        }
    }
}

/// A player of frames 1 to `last`, of which `read` gives each.
fn player(
    last: i64,
    pace: Pace,
    rate: u32,
    read: impl Fn(i64, &Path) -> Result<Picture, MediaError> + Send + Sync + 'static,
) -> (Player<Echo>, Receiver<Shown<i64>>) {
    let dir = tempfile::tempdir().unwrap();
    for number in 1..=last {
        fs::write(dir.path().join(format!("{number}.dpx")), "").unwrap();
    }
    let sequence = Sequence::open(dir.path()).unwrap();
    let limits = Limits { budget_bytes: 1 << 20, threads: Some(2) };
    let settings = Settings { rate: Rate::new(rate, 1).unwrap(), pace, limits };
    let read = move |path: &Path| {
        let number = path.file_stem().unwrap().to_str().unwrap().parse().unwrap();
        (read(number, path), Duration::ZERO)
    };
    let (wire, shown) = channel();
    let player = Player::start_with(&sequence, settings, Arc::default(), Echo::default(), Wire(wire), read);
    (player.unwrap(), shown)
}

fn next(shown: &Receiver<Shown<i64>>) -> (Purpose, Result<i64, String>) {
    let shown = shown.recv_timeout(WATCH).expect("a picture comes");
    (shown.task.purpose, shown.picture)
}

#[test]
fn as_fast_as_it_goes_every_frame_is_shown_once_and_in_order() {
    let (player, shown) = player(200, Pace::Most, 24, |number, _| Ok(made_up(number)));
    assert!(player.wait_for_rest(WATCH));
    assert_eq!(next(&shown), (Purpose::Still, Ok(1)));
    player.change(Transport::play);
    assert!(player.wait_for_end(WATCH));
    let seen: Vec<_> = (0..200).map(|_| next(&shown)).collect();
    let wanted: Vec<_> = (0..200).map(|step| (Purpose::Play(step), Ok(step as i64 + 1))).collect();
    assert_eq!(seen, wanted);
    assert_eq!((player.tally().shown, player.tally().dropped), (200, 0));
    // Backward, from where it stands.
    player.change(|transport, now| transport.set_direction(now, media::ahead::Direction::Backward));
    player.change(Transport::play);
    assert_eq!([1, 2, 3].map(|_| next(&shown).1), [200, 199, 198].map(Ok));
    player.end().expect("the work comes back");
}

#[test]
fn a_scrub_shows_the_nearest_frame_at_once_and_then_the_one() {
    let (door, (says, asked)) = (Door::default(), channel());
    let (gate, says) = (door.clone(), Mutex::new(says));
    let (player, shown) = player(60, Pace::Clock, 24, move |number, _| {
        let _ = says.lock().unwrap().send(number);
        if number == 50 {
            gate.pass();
        }
        Ok(made_up(number))
    });
    assert_eq!(next(&shown), (Purpose::Still, Ok(1)));
    // One thread stands before the door; when the other begins the last frame, all before that are at hand.
    while asked.recv_timeout(WATCH).expect("frames are read ahead") != 60 {}
    player.change(|transport, _| transport.scrub(50));
    assert_eq!(next(&shown), (Purpose::Meanwhile, Ok(49)));
    // Whoever scrubs on does not wait for what stands before the door.
    player.change(|transport, _| transport.scrub(20));
    assert_eq!(next(&shown), (Purpose::Still, Ok(20)));
    player.change(|transport, _| transport.scrub(50));
    assert_eq!(next(&shown), (Purpose::Meanwhile, Ok(49)));
    door.open();
    assert_eq!(next(&shown), (Purpose::Still, Ok(50)));
}

#[test]
fn a_file_that_vanishes_is_told_and_survived_and_shown_when_it_is_back() {
    let gone = Arc::new(AtomicBool::new(true));
    let is_gone = Arc::clone(&gone);
    let (player, shown) = player(5, Pace::Most, 24, move |number, path| {
        if number == 3 && is_gone.load(Ordering::Relaxed) {
            return Err(MediaError::Missing { path: path.to_owned() });
        }
        Ok(made_up(number))
    });
    player.change(|transport, now| transport.set_looped(now, true));
    player.change(Transport::play);
    let missing = loop {
        if let (_, Err(why)) = next(&shown) {
            break why;
        }
    };
    assert!(missing.contains("3.dpx"), "{missing}");
    assert_eq!(next(&shown).1, Ok(4), "play goes on");
    gone.store(false, Ordering::Relaxed);
    while next(&shown).1 != Ok(3) {}
    player.change(Transport::stop);
    assert!(player.tally().failed >= 1);
}

/// A frame is read slower than the others: the clock does not wait for it.
#[test]
fn a_slow_frame_is_dropped_and_those_after_it_are_shown_when_they_are_due() {
    let door = Door::default();
    let gate = door.clone();
    let (player, shown) = player(60, Pace::Clock, 100, move |number, _| {
        if number == 5 {
            gate.pass();
        }
        Ok(made_up(number))
    });
    assert!(player.wait_for_rest(WATCH));
    player.change(Transport::play);
    assert!(player.wait_for_end(WATCH));
    let tally = player.tally();
    door.open();
    drop(player);
    let steps: Vec<u64> = shown
        .iter()
        .filter_map(|shown| match shown.task.purpose {
            Purpose::Play(step) => Some(step),
            _ => None,
        })
        .collect();
    assert!(steps.is_sorted_by(|one, next| one < next), "{steps:?}");
    assert!(!steps.contains(&4), "{steps:?}");
    // However loaded the machine is, what came due is counted once, and the slow one as dropped.
    assert_eq!((tally.due(), tally.shown), (60, steps.len() as u64));
    assert!(tally.dropped >= 1);
}
