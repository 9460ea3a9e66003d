//! Lets a player follow what the window asks for.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use media::ahead::{Direction, Limits};
use session::Fault;
use session::playback::{self, Costs, Pace, Player, Rate, Settings, Transport};

use super::super::maker::Maker;
use super::super::{Shared, wake};
use super::drawing::Drawing;
use super::screen::ToTiles;
use super::{Head, Play, Played};

/// Bytes of memory for decoded frames, of which half at most lie on the device as well.
const BUDGET_BYTES: u64 = 1 << 30;
/// How long play waits for its first picture, so that what is only made once drops no frame.
const FIRST: Duration = Duration::from_secs(10);
/// How long a head that is drawn waits for a picture before it goes on, so that something is seen on the way.
const ON_THE_WAY: Duration = Duration::from_millis(120);
/// How often it is looked whether something else is asked for meanwhile.
const LOOK: Duration = Duration::from_millis(10);

/// A shot that is played, or was.
pub struct Deck {
    media: PathBuf,
    player: Player<Drawing>,
    rate: Rate,
    is_said: bool,
    costs: Arc<Costs>,
    threads: usize,
}

impl Deck {
    /// How it goes.
    pub fn played(&self) -> Played {
        let tally = self.player.tally();
        // By the clock, frames that came due say how long it is played.
        let seconds = tally.due() as f64 / self.rate.per_second();
        let times = playback::Played {
            pace: Pace::Clock,
            tally: &tally,
            seconds,
            threads: self.threads,
            has_device: true,
            fetched: false,
            device: None,
        };
        Played {
            stages: self.costs.rows(&times),
            limit: self.costs.limit(&times),
            rate: self.rate,
            is_said: self.is_said,
            share: self.player.share(),
            at_hand: self.player.ahead().cached_ranges(),
            tally,
        }
    }

    /// Counts anew from here on.
    fn count_anew(&self) {
        self.player.count_anew();
        self.costs.begin_anew();
    }

    /// Its frames.
    pub fn media(&self) -> &Path {
        &self.media
    }

    /// The frame on which it stands; none while it plays.
    pub fn stands_on(&self) -> Option<i64> {
        self.player.look(|transport, now| (!transport.plays()).then(|| transport.number(now)))
    }
}

/// Lets the player follow what is asked for.
#[derive(Default)]
pub struct Driver {
    deck: Option<Arc<Deck>>,
    /// What was asked for last.
    asked: Option<Play>,
}

impl Driver {
    /// Follows, and says whether the play head was just let run. What comes after it is begun is put to the tiles by the
    /// player's own threads.
    pub fn follow(
        &mut self,
        shared: &Arc<Shared>,
        maker: &mut Maker,
        context: &egui::Context,
        play: Option<Play>,
    ) -> bool {
        let Some(play) = play else {
            if let (Some(deck), Some(_)) = (&self.deck, self.asked.take()) {
                deck.player.change(Transport::stop);
            }
            return false;
        };
        let before = self.asked.as_ref().map(|before| before.head);
        let head = play.head;
        let led = self.lead(shared, maker, context, &play);
        self.asked = Some(play).filter(|_| !matches!(led, Ok(false)));
        if let (Err(fault), Some(play)) = (led, &self.asked) {
            let mut desk = shared.desk();
            for (tile, _) in &play.tiles {
                desk.outcomes.entry(*tile).or_default().fault = Some(fault.to_string());
            }
            desk.over = Some(head.at());
            drop(desk);
            wake(context);
        }
        matches!(head, Head::Runs { .. }) && before != Some(head)
    }

    /// Lets go of a shot that no tile shows any more.
    pub fn keep_only(&mut self, shared: &Shared, shows: impl Fn(&Path) -> bool) {
        if self.deck.as_ref().is_some_and(|deck| !shows(&deck.media)) {
            self.close(shared);
        }
    }

    /// Ends the player and lets go of all that it has read.
    pub fn close(&mut self, shared: &Shared) {
        // Until another one runs, nobody is told that this one has come to its end.
        shared.desk().runs = false;
        let _looked_at = shared.deck().take();
        (self.deck, self.asked) = (None, None);
    }

    /// False where something else was asked for before it ran.
    fn lead(
        &mut self,
        shared: &Arc<Shared>,
        maker: &mut Maker,
        context: &egui::Context,
        play: &Play,
    ) -> Result<bool, Fault> {
        let deck = match &self.deck {
            Some(deck) if deck.media == play.media => Arc::clone(deck),
            _ => {
                self.close(shared);
                let deck = Arc::new(open(shared, maker, context, play)?);
                *shared.deck() = Some(Arc::clone(&deck));
                self.deck = Some(Arc::clone(&deck));
                deck
            }
        };
        let before = self.asked.take();
        let player = &deck.player;
        if before.as_ref().is_none_or(|before| before.tiles != play.tiles) {
            player.set_chain(play.tiles.clone());
        }
        player.change(|transport, now| set(transport, now, play));
        match play.head {
            head if before.is_some_and(|before| before.head == head) => {}
            Head::Held(to) => {
                player.change(|transport, _| transport.scrub(to));
                rest(player, ON_THE_WAY, || false);
            }
            Head::Runs { from, .. } => {
                player.change(|transport, _| transport.scrub(from));
                if rest(player, FIRST, || shared.is_overtaken()) {
                    return Ok(false);
                }
                deck.count_anew();
                player.change(Transport::play);
                shared.desk().runs = true;
            }
        }
        Ok(true)
    }
}

/// Waits, at most so long, until the frame on which a player stands is in sight. True where something else came before.
fn rest(player: &Player<Drawing>, patience: Duration, is_overtaken: impl Fn() -> bool) -> bool {
    let until = Instant::now() + patience;
    while Instant::now() < until && !player.wait_for_rest(LOOK) {
        if is_overtaken() {
            return true;
        }
    }
    false
}

/// In, out, loop and direction.
fn set(transport: &mut Transport, now: Duration, play: &Play) {
    let span = transport.span();
    let [first, last] = play.ends.of([*span.start(), *span.end()]);
    if transport.range() != (first..=last) {
        transport.set_range(now, first..=last);
    }
    if transport.looped() != play.looped {
        transport.set_looped(now, play.looped);
    }
    let direction = if play.backward { Direction::Backward } else { Direction::Forward };
    if transport.direction() != direction {
        transport.set_direction(now, direction);
    }
}

fn open(shared: &Arc<Shared>, maker: &mut Maker, context: &egui::Context, play: &Play) -> Result<Deck, Fault> {
    let said = maker.rate(&play.media, play.head.at());
    let gpu = maker.gpu();
    let frames = maker.frames(&play.media)?;
    let (sequence, span) = (frames.sequence(), frames.span());
    let work = Drawing::new(Arc::clone(shared), gpu, play.media.clone(), span, BUDGET_BYTES / 2);
    let screen = ToTiles { shared: Arc::clone(shared), context: context.clone(), media: play.media.clone(), failed: 0 };
    let rate = said.and_then(|rate| Rate::from_decimal(rate).ok());
    // The window keeps a core for itself.
    let threads = std::thread::available_parallelism().map_or(1, usize::from).saturating_sub(1).max(1);
    let limits = Limits { budget_bytes: BUDGET_BYTES, threads: Some(threads) };
    let settings = Settings { rate: rate.unwrap_or(Rate::CINEMA), pace: Pace::Clock, limits };
    let costs = work.costs();
    let player = Player::start(sequence, settings, Arc::clone(&costs), work, screen)?;
    let media = play.media.clone();
    Ok(Deck { media, player, rate: settings.rate, is_said: rate.is_some(), costs, threads })
}
