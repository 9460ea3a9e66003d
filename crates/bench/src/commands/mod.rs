//! Everything that can be done, by its words and its key.

use egui::{Event, Key, KeyboardShortcut, Modifiers, Ui};

use crate::readings::keys as readings;
use crate::renders::keys as renders;
use crate::shots::keys as shots;
use crate::state::{Action, Bench, Look, Sheet, Square, Wide, Zoom};
use crate::transport::keys as transport;
use crate::wall::keys as wall;

/// One thing that can be done.
pub struct Command {
    /// What it does, in words that are searched.
    pub words: &'static str,
    /// Its key.
    pub key: Option<KeyboardShortcut>,
    /// What is asked for; none where it cannot be done now.
    pub action: fn(&Bench) -> Option<Action>,
}

const fn key(key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(Modifiers::NONE, key))
}

const fn with(modifiers: Modifiers, key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(modifiers, key))
}

const SHIFT_COMMAND: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);

/// All commands.
pub const COMMANDS: &[Command] = &[
    Command {
        words: "open a project",
        key: with(Modifiers::COMMAND, Key::O),
        action: |_| Some(Action::Lay(Some(Sheet::Open { typed: String::new() }))),
    },
    Command { words: "save the project", key: with(Modifiers::COMMAND, Key::S), action: |_| Some(Action::Save) },
    Command {
        words: "take the last step back",
        key: with(Modifiers::COMMAND, Key::Z),
        action: |_| Some(Action::StepBack),
    },
    Command {
        words: "bring again what was taken back",
        key: with(SHIFT_COMMAND, Key::Z),
        action: |_| Some(Action::StepForth),
    },
    Command { words: "close the window", key: with(Modifiers::COMMAND, Key::Q), action: |_| Some(Action::Close) },
    Command {
        words: "list all commands",
        key: key(Key::F1),
        action: |_| Some(Action::Lay(Some(Sheet::Commands { search: String::new() }))),
    },
    Command { words: "list the steps back", key: key(Key::F2), action: |_| Some(Action::Lay(Some(Sheet::Steps))) },
    Command { words: "show the plan", key: key(Key::F3), action: |_| Some(Action::Lay(Some(Sheet::Plan))) },
    Command {
        words: "show what computes, and how long it takes",
        key: key(Key::F4),
        action: |_| Some(Action::Lay(Some(Sheet::Trust))),
    },
    Command {
        words: "return from what is tried, or from what lies over the window",
        key: key(Key::Escape),
        action: returning,
    },
    Command { words: "the next shot in cut order", key: key(Key::PageDown), action: |_| Some(Action::Shot(1)) },
    Command { words: "the shot before in cut order", key: key(Key::PageUp), action: |_| Some(Action::Shot(-1)) },
    Command { words: "one frame on", key: key(Key::Period), action: transport::on },
    Command { words: "one frame back", key: key(Key::Comma), action: transport::back },
    Command { words: "play the frames of the shot, or stop", key: key(Key::Space), action: transport::play },
    Command { words: "play backward, or forward again", key: key(Key::G), action: transport::turn },
    Command { words: "play in a loop, or once", key: with(Modifiers::SHIFT, Key::G), action: transport::looped },
    Command { words: "set in on this frame", key: key(Key::I), action: transport::set_in },
    Command { words: "set out on this frame", key: key(Key::O), action: transport::set_out },
    Command { words: "take in away", key: with(Modifiers::SHIFT, Key::I), action: transport::clear_in },
    Command { words: "take out away", key: with(Modifiers::SHIFT, Key::O), action: transport::clear_out },
    Command { words: "go to the first frame", key: key(Key::Home), action: transport::first },
    Command { words: "go to the last frame", key: key(Key::End), action: transport::last },
    Command { words: "go to in", key: with(Modifiers::SHIFT, Key::Home), action: transport::go_in },
    Command { words: "go to out", key: with(Modifiers::SHIFT, Key::End), action: transport::go_out },
    Command {
        words: "the next tile",
        key: key(Key::T),
        action: |bench| Some(Action::Activate((bench.wall.active + 1) % bench.wall.tiles.len().max(1))),
    },
    Command { words: "add a tile", key: key(Key::Plus), action: |_| Some(Action::AddTile) },
    Command {
        words: "take the active tile away",
        key: key(Key::Minus),
        action: |bench| Some(Action::DropTile(bench.wall.active)),
    },
    Command { words: "the picture alone", key: key(Key::F), action: |bench| Some(Action::Alone(!bench.wall.alone)) },
    Command {
        words: "a seam between the first two pictures",
        key: key(Key::W),
        action: |bench| Some(Action::Seam(bench.wall.seam.is_none().then_some(0.5))),
    },
    Command {
        words: "how far the pictures are from the first",
        key: key(Key::D),
        action: |bench| Some(Action::Difference(!bench.wall.difference)),
    },
    Command {
        words: "bands of stops in place of the picture",
        key: key(Key::B),
        action: |bench| Some(Action::Look(other(bench, Look::Bands))),
    },
    Command {
        words: "zebra over the picture",
        key: key(Key::Z),
        action: |bench| Some(Action::Look(other(bench, Look::Zebra))),
    },
    Command {
        words: "what is clipped or out of gamut",
        key: key(Key::X),
        action: |bench| Some(Action::Look(other(bench, Look::Warnings))),
    },
    Command {
        words: "the picture as large as its tile",
        key: key(Key::Num0),
        action: |_| Some(Action::Zoom(Zoom::Fit)),
    },
    Command {
        words: "the picture's pixels as the screen's",
        key: key(Key::Num1),
        action: |_| Some(Action::Zoom(Zoom::Times(1.0))),
    },
    Command { words: "the next state for the chosen shots", key: key(Key::S), action: shots::next_state },
    Command { words: "lock the chosen shots, or unlock them", key: key(Key::L), action: shots::lock },
    Command { words: "make this shot the anchor, or no more", key: key(Key::A), action: shots::anchor },
    Command { words: "write a note on this shot", key: key(Key::N), action: shots::note },
    Command { words: "copy numbers from one shot to the chosen ones", key: key(Key::C), action: shots::copy },
    Command { words: "run through the shots, two seconds each, or stop", key: key(Key::R), action: shots::run },
    Command {
        words: "choose all shots that the table shows",
        key: with(Modifiers::COMMAND, Key::A),
        action: shots::choose_all,
    },
    Command { words: "place a probe on the picture", key: key(Key::P), action: crate::readings::begin },
    Command { words: "the picture larger", key: key(Key::CloseBracket), action: |bench| zoomed(bench, 2.0) },
    Command { words: "the picture smaller", key: key(Key::OpenBracket), action: |bench| zoomed(bench, 0.5) },
    Command {
        words: "the picture so large that its codes are written in it",
        key: key(Key::Num9),
        action: |_| Some(Action::Zoom(Zoom::Times(48.0))),
    },
    Command {
        words: "the part of the picture further left",
        key: with(Modifiers::ALT, Key::ArrowLeft),
        action: |bench| moved(bench, [-1.0, 0.0]),
    },
    Command {
        words: "the part of the picture further right",
        key: with(Modifiers::ALT, Key::ArrowRight),
        action: |bench| moved(bench, [1.0, 0.0]),
    },
    Command {
        words: "the part of the picture further up",
        key: with(Modifiers::ALT, Key::ArrowUp),
        action: |bench| moved(bench, [0.0, -1.0]),
    },
    Command {
        words: "the part of the picture further down",
        key: with(Modifiers::ALT, Key::ArrowDown),
        action: |bench| moved(bench, [0.0, 1.0]),
    },
    Command {
        words: "aim the tiles together, or each for itself",
        key: key(Key::U),
        action: |bench| Some(Action::Link(bench.wall.tiles.iter().any(|tile| tile.own.is_some()))),
    },
    Command {
        words: "keep the active picture as it is, or let it go on",
        key: key(Key::K),
        action: |bench| Some(Action::KeepPicture(!bench.tile()?.kept)),
    },
    Command {
        words: "the original, for as long as the key is held",
        key: key(crate::wall::HOLD),
        // A key that is held is pressed again and again.
        action: |bench| (!bench.wall.before).then_some(Action::Before(true)),
    },
    Command {
        words: "another wide trace: luma, channels, parade, histogram",
        key: key(Key::Y),
        action: |bench| {
            Some(Action::Wide(match bench.wall.wide {
                Wide::Waveform => Wide::Together,
                Wide::Together => Wide::Parade,
                Wide::Parade => Wide::Histogram,
                Wide::Histogram => Wide::Waveform,
            }))
        },
    },
    Command {
        words: "another square trace: vectorscope, chromaticity",
        key: key(Key::V),
        action: |bench| {
            Some(Action::Square(match bench.wall.square {
                Square::Vectorscope => Square::Chromaticity,
                Square::Chromaticity => Square::Vectorscope,
            }))
        },
    },
    Command { words: "the verdict on the tiles", key: key(Key::Q), action: readings::on_tiles },
    Command { words: "all verdict figures of this shot", key: with(Modifiers::SHIFT, Key::Q), action: readings::all },
    Command { words: "measure all verdict figures again", key: None, action: readings::again },
    Command {
        words: "the active picture by the proof, or by the device again",
        key: None,
        action: crate::trust::keys::by_proof,
    },
    Command { words: "choose what the active tile shows", key: key(Key::E), action: wall::choose },
    Command {
        words: "this shot between the shots before and after, or the wall as it was",
        key: key(Key::J),
        action: wall::around,
    },
    Command { words: "a picture from outside in the active tile", key: None, action: wall::outside },
    Command { words: "the shot again in place of the outside picture", key: None, action: wall::inside },
    Command { words: "the picture in a second window, or no more", key: key(Key::M), action: wall::second },
    Command { words: "let the second window fill its screen, or not", key: None, action: wall::full },
    Command { words: "the set-up page in the second window, or the picture", key: None, action: wall::page },
    Command { words: "the monitor profile of the second window", key: None, action: wall::monitor },
    Command { words: "render the chosen shots, and see what is rendered", key: key(Key::F5), action: renders::open },
    Command { words: "let all renders wait", key: None, action: renders::pause },
    Command { words: "let all renders go on", key: None, action: renders::go },
];

/// The next power of two in a direction. A picture that fits its tile starts from its own size.
fn zoomed(bench: &Bench, by: f32) -> Option<Action> {
    let Zoom::Times(times) = bench.wall.aim(bench.wall.active).zoom else {
        return Some(Action::Zoom(Zoom::Times(if by > 1.0 { 1.0 } else { 0.5 })));
    };
    let power = if by > 1.0 { times.log2().floor() + 1.0 } else { times.log2().ceil() - 1.0 };
    Some(Action::Zoom(Zoom::Times(power.exp2())))
}

/// Another part of a picture that is larger than its tile.
fn moved(bench: &Bench, by: [f32; 2]) -> Option<Action> {
    let aim = bench.wall.aim(bench.wall.active);
    let Zoom::Times(times) = aim.zoom else { return None };
    // A tenth of a tile, more or less: what is seen shrinks as the picture grows.
    let step = 0.1 / times.max(1.0);
    Some(Action::Middle([aim.middle[0] + by[0] * step, aim.middle[1] + by[1] * step]))
}

/// The look, or the plain picture where it is on already.
fn other(bench: &Bench, look: Look) -> Look {
    if bench.tile().is_some_and(|tile| tile.look == look) { Look::Picture } else { look }
}

fn returning(bench: &Bench) -> Option<Action> {
    match (&bench.sheet, bench.wall.alone) {
        // Work that was left has to be decided about: until then nothing is kept beside the project.
        (Some(Sheet::Recovery), _) => None,
        // What is measured ends first.
        (Some(Sheet::Verdict), _) if bench.verdicts.running.is_some() => Some(Action::Return),
        (Some(_), _) => Some(Action::Lay(None)),
        (None, true) => Some(Action::Alone(false)),
        (None, false) => Some(Action::Return),
    }
}

impl Command {
    /// Whether all the words that are searched for stand in it.
    pub fn is_meant_by(&self, search: &str) -> bool {
        search.split_whitespace().all(|word| self.words.contains(&word.to_lowercase()))
    }
}

/// A key as it is written on it.
pub fn written(context: &egui::Context, shortcut: &KeyboardShortcut) -> String {
    let sign = match shortcut.logical_key {
        Key::Comma => ",",
        Key::Period => ".",
        Key::Plus => "+",
        Key::Minus => "-",
        Key::Num0 => "0",
        Key::Num1 => "1",
        Key::OpenBracket => "[",
        Key::CloseBracket => "]",
        _ => return context.format_shortcut(shortcut),
    };
    let modifiers = context.format_modifiers(shortcut.modifiers);
    if modifiers.is_empty() { sign.to_string() } else { format!("{modifiers}+{sign}") }
}

/// Does what the pressed keys ask for. What is being typed keeps the plain keys to itself.
pub fn keys(ui: &Ui, bench: &Bench, actions: &mut Vec<Action>) {
    let context = ui.ctx();
    let typing = context.text_edit_focused();
    // In the order in which they were pressed, however many come at once.
    let pressed = context.input(|input| {
        let keys = input.events.iter().filter_map(|event| match event {
            Event::Key { key, modifiers, pressed: true, .. } => Some((*key, *modifiers)),
            _ => None,
        });
        keys.collect::<Vec<_>>()
    });
    for (key, modifiers) in pressed {
        let fits = |own: &KeyboardShortcut| own.logical_key == key && modifiers.matches_logically(own.modifiers);
        // A key that is pressed with more than another command asks for must not be taken for that one.
        let found = COMMANDS.iter().filter_map(|command| Some((command.key.filter(fits)?, command)));
        let more = |(own, _): &(KeyboardShortcut, &Command)| {
            usize::from(own.modifiers.shift) + usize::from(own.modifiers.alt) + usize::from(own.modifiers.command)
        };
        let Some((shortcut, command)) = found.max_by_key(more) else { continue };
        // What is tried in the entry line is returned from by Escape while one types.
        let plain = shortcut.modifiers == Modifiers::NONE && shortcut.logical_key != Key::Escape;
        let names_a_sheet = matches!(shortcut.logical_key, Key::F1 | Key::F2 | Key::F3 | Key::F4 | Key::F5);
        if typing && plain && !names_a_sheet {
            continue;
        }
        // What cannot be done now leaves its key to what has the focus.
        let Some(action) = (command.action)(bench) else { continue };
        // Taken, so that no widget has it as well.
        context.input_mut(|input| input.consume_key(shortcut.modifiers, shortcut.logical_key));
        actions.push(action);
    }
}

#[cfg(test)]
mod tests;
