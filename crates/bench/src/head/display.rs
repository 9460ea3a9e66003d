//! What the active picture is rendered for, and what of it the screen may not show.

use colour::{Transfer, primaries};
use egui::Ui;
use graph::Made;
use ops::{Display, Setting as _};

use crate::look::{GAP, label};
use crate::pictures::Pictures;
use crate::second;
use crate::state::Bench;

/// From this width of the window on there is room for whole sentences, in points.
const ROOMY: f32 = 1500.0;

/// Writes it from the right to the left.
pub fn show(ui: &mut Ui, bench: &Bench, pictures: &Pictures, width: f32) {
    let roomy = width >= ROOMY;
    if let Some([whole, short]) = bench.surface_bits.and_then(depth) {
        ui.add_space(GAP);
        ui.label(label(if roomy { &whole } else { &short })).on_hover_text(whole);
    }
    if let Some(shown) = pictures.of(bench.wall.active).and_then(|outcome| outcome.shown.as_ref()) {
        for [whole, short] in [space(&shown.made), Some(rendered(&shown.made))].into_iter().flatten() {
            ui.add_space(GAP);
            ui.label(label(if roomy { &whole } else { &short })).on_hover_text(whole);
        }
    }
    if let Some([words, why]) = second::in_words(bench, pictures) {
        ui.add_space(GAP);
        ui.add(egui::Label::new(label(format!("second window: {words}"))).truncate()).on_hover_text(why);
    }
}

/// Which display a picture is rendered for, in whole and in short.
fn rendered(made: &Made) -> [String; 2] {
    match made {
        Made::Rendered(made) => [format!("rendered for {}", made.display), format!("for {}", made.display)],
        Made::AsOriginal => ["rendered for no display: as the original".into(), "for no display".into()],
        Made::Scene => ["rendered for no display: a scene's signal".into(), "for no display".into()],
    }
}

/// What a surface of so many bits does not show; none where it takes pictures as they are.
fn depth(bits: u32) -> Option<[String; 2]> {
    let whole = format!("{bits}-bit surface: steps of one code may be the screen's");
    (bits < 10).then(|| [whole, format!("{bits}-bit surface")])
}

/// The window's surface takes codes of BT.709's primaries and a curve of its kind; what is rendered for others looks wrong
/// on it without a screen that is set up so. None where it is of those.
fn space(made: &Made) -> Option<[String; 2]> {
    let Made::Rendered(made) = made else { return None };
    let display = Display::parse(&made.display).ok()?;
    let signal = display.signal(made.peak_nits, made.black_nits);
    let is_video = matches!(signal.curve.transfer, Transfer::Pq | Transfer::Hlg);
    (is_video || signal.primaries != primaries::BT709).then(|| {
        let whole = format!("the surface is sRGB: right on a screen of {display} alone");
        [whole, "sRGB surface".to_string()]
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use ops::Rendered;

    fn made(display: Display) -> Made {
        let signal = display.signal(100.0, 0.0);
        Made::Rendered(Rendered::of(&signal, "aces-2.0".into(), None).unwrap())
    }

    #[test]
    fn it_is_said_what_a_picture_is_rendered_for() {
        assert_eq!(rendered(&made(Display::Bt1886)), ["rendered for BT.1886", "for BT.1886"]);
        assert!(rendered(&Made::Scene)[0].contains("no display"));
    }

    #[test]
    fn another_colour_space_and_few_bits_are_warned_of() {
        let warned = |display: Display| space(&made(display)).is_some();
        let (own, others): (Vec<Display>, Vec<Display>) = Display::ALL.into_iter().partition(|d| !warned(*d));
        let names = |displays: &[Display]| displays.iter().map(|display| display.name()).collect::<Vec<_>>();
        assert_eq!(names(&own), ["BT.1886", "sRGB", "Gamma2.2"]);
        assert_eq!(names(&others), ["P3-D65", "Display-P3", "BT.2020", "PQ", "HLG"]);
        assert!(space(&Made::AsOriginal).is_none());
        assert!(depth(8).is_some_and(|words| words[0].starts_with("8-bit surface")) && depth(10).is_none());
    }
}
