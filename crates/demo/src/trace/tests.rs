//! The tracer on scenes whose light is known.

use frame::Size;

use super::{Change, Glow, Lamp, Part, Plate, Scene, Shape, Still, Surface, Window};
use crate::material::{CARD, COPPER, WHITE};
use crate::space::{Bounds, Vec3, View, distance, v3};

/// A block that may slide along x with the moment.
struct Block {
    centre: Vec3,
    half: Vec3,
    slides: f64,
    even: bool,
}

impl Shape for Block {
    fn bounds(&self) -> Bounds {
        let own = Bounds::around(self.centre, self.half);
        own.with(&Bounds::around(self.centre + v3(self.slides, 0.0, 0.0), self.half))
    }
    fn distance(&self, p: Vec3, seconds: f64) -> f64 {
        distance::block(p - self.centre - v3(self.slides * seconds, 0.0, 0.0), self.half, 0.0)
    }
    fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
        Surface { even: self.even, ..Surface::of(CARD, normal) }
    }
    fn moves(&self) -> bool {
        self.slides != 0.0
    }
}

fn wall() -> Block {
    Block { centre: v3(0.0, 0.0, -1.0), half: v3(4.0, 4.0, 0.1), slides: 0.0, even: true }
}

fn scene(shapes: Vec<Box<dyn Shape>>, lamps: Vec<Lamp>) -> Scene {
    Scene {
        shapes,
        lamps,
        backdrop: Box::new(|_, _| vec![Glow { source: 2, level: 0.5 }]),
        white: WHITE,
        shadow_reach: 2.0,
        still: Still::default(),
    }
}

fn far(towards: Vec3, level: f64) -> Lamp {
    Lamp::far(0, towards, 0.1, level)
}

const SIZE: Size = Size { width: 64, height: 36 };

fn view() -> View {
    View::new(v3(0.0, 0.0, 3.0), v3(0.0, 0.0, 0.0), 30.0)
}

/// Light of a pixel from one source.
fn light(plate: &Plate, x: usize, y: usize, source: u8) -> f64 {
    let parts = plate.pixel(y * plate.window().width as usize + x);
    parts.iter().filter(|part| part.source == source).map(|part| f64::from(part.weight)).sum()
}

#[test]
fn a_flat_card_has_the_cosine_of_its_lamp_everywhere() {
    // Lambert's cosine law: 60 degrees off, half the light.
    let scene = scene(vec![Box::new(wall())], vec![far(v3(3.0_f64.sqrt(), 0.0, 1.0), 0.8)]);
    let plate = Plate::whole(&scene, &view(), SIZE, 0.0);
    for y in 0..36 {
        for x in 0..64 {
            // Weights are kept as single floats.
            assert!((light(&plate, x, y, 0) - 0.4).abs() < 1e-6, "{x} {y}: {}", light(&plate, x, y, 0));
        }
    }
}

#[test]
fn light_from_a_place_falls_with_the_square_of_the_distance() {
    let lamp = Lamp::near(1, v3(0.0, 0.0, 1.1), 0.01, 1.0);
    let scene = scene(vec![Box::new(wall())], vec![lamp]);
    let plate = Plate::whole(&scene, &view(), SIZE, 0.0);
    // The wall's face is two metres behind the lamp; the picture's middle is a quarter of a pixel off at the most.
    assert!((light(&plate, 32, 18, 1) - 0.25).abs() < 1e-3, "{}", light(&plate, 32, 18, 1));
}

#[test]
fn a_thin_body_shades_wholly_and_its_shadow_ends_within_the_width_of_the_lamp() {
    // A slab in front of the wall's left half, lit straight from the front; its edge's shadow falls at x = 0.
    let slab = Block { centre: v3(-2.0, 0.0, 0.5), half: v3(2.0, 4.0, 0.01), slides: 0.0, even: true };
    let scene = scene(vec![Box::new(wall()), Box::new(slab)], vec![far(v3(0.0, 0.0, 1.0), 1.0)]);
    let from = View::new(v3(0.0, 0.0, 0.2), v3(0.0, 0.0, -1.0), 60.0);
    let plate = Plate::whole(&scene, &from, SIZE, 0.0);
    // A pixel is 35 mm of the wall, 1.4 m behind the slab; the lamp is as wide as .14 m there.
    for x in 0..32 {
        assert!(light(&plate, x, 18, 0) < 0.02, "{x}: {}", light(&plate, x, 18, 0));
    }
    for x in 37..64 {
        assert!(light(&plate, x, 18, 0) > 0.98, "{x}: {}", light(&plate, x, 18, 0));
    }
    let rising: Vec<f64> = (31..38).map(|x| light(&plate, x, 18, 0)).collect();
    assert!(rising.windows(2).all(|pair| pair[0] <= pair[1] + 1e-9), "{rising:?}");
}

#[test]
fn what_is_behind_everything_is_seen_as_it_is() {
    let plate = Plate::whole(&scene(Vec::new(), Vec::new()), &view(), SIZE, 0.0);
    assert!((0..plate.len()).all(|at| plate.pixel(at).len() == 1 && plate.pixel(at)[0].weight == 0.5));
}

#[test]
fn a_window_is_a_part_of_the_whole() {
    let ball = Block { centre: v3(0.2, 0.1, 0.0), half: v3(0.3, 0.3, 0.3), slides: 0.0, even: false };
    let scene = scene(vec![Box::new(wall()), Box::new(ball)], vec![far(v3(1.0, 1.0, 1.0), 1.0)]);
    let whole = Plate::whole(&scene, &view(), SIZE, 0.0);
    assert_eq!(whole, Plate::whole(&scene, &view(), SIZE, 0.0), "threads change nothing");
    let window = Window { x: 20, y: 9, width: 30, height: 17 };
    let part = Plate::of(&scene, &view(), SIZE, window, 0.0);
    for y in 0..17 {
        for x in 0..30 {
            assert_eq!(part.pixel(y * 30 + x), whole.pixel((y + 9) * 64 + x + 20), "{x} {y}");
        }
    }
}

#[test]
fn nothing_changes_outside_the_moving_windows() {
    let block = Block { centre: v3(-0.3, 0.1, 0.0), half: v3(0.15, 0.15, 0.15), slides: 0.2, even: false };
    let scene = scene(vec![Box::new(wall()), Box::new(block)], vec![far(v3(0.5, 0.4, 1.0), 1.0)]);
    let windows = Plate::moving(&scene, &view(), SIZE);
    let (before, after) = (Plate::whole(&scene, &view(), SIZE, 0.0), Plate::whole(&scene, &view(), SIZE, 1.0));
    let mut changed = 0;
    for at in 0..before.len() {
        let (x, y) = ((at % 64) as u32, (at / 64) as u32);
        let inside = |w: &Window| x >= w.x && x < w.x + w.width && y >= w.y && y < w.y + w.height;
        if before.pixel(at) != after.pixel(at) {
            changed += 1;
            assert!(windows.iter().any(inside), "{x} {y}");
        }
    }
    let covered: u32 = windows.iter().map(|window| window.width * window.height).sum();
    assert!(changed > 40 && covered < 64 * 36, "{changed} changed, {covered} covered");
    // Traced anew are those that changed, and few others; with them the first picture is the later one.
    let change = Change::of(&scene, &view(), SIZE, &windows, &before, 1.0);
    let mut pixels: Vec<&[Part]> = (0..before.len()).map(|at| before.pixel(at)).collect();
    let mut traced = 0;
    for y in 0..36 {
        for (at, parts) in change.within(y * 64..(y + 1) * 64) {
            (pixels[at], traced) = (parts, traced + 1);
        }
    }
    assert!((0..after.len()).all(|at| pixels[at] == after.pixel(at)));
    assert!(traced < covered, "{traced} traced of {covered}");
}

#[test]
fn where_shadows_stay_only_what_shows_the_moving_body_is_traced_anew() {
    let block = Block { centre: v3(-0.3, 0.1, 0.0), half: v3(0.15, 0.15, 0.15), slides: 0.2, even: false };
    let still = Scene { shadow_reach: 0.0, ..scene(vec![Box::new(wall()), Box::new(block)], Vec::new()) };
    let (before, after) = (Plate::whole(&still, &view(), SIZE, 0.0), Plate::whole(&still, &view(), SIZE, 1.0));
    let windows = Plate::moving(&still, &view(), SIZE);
    let change = Change::of(&still, &view(), SIZE, &windows, &before, 1.0);
    let shows = |plate: &Plate, at: usize| plate.moves((at % 64) as i64, (at / 64) as i64);
    let traced: Vec<usize> = change.within(0..64 * 36).map(|(at, _)| at).collect();
    assert!(traced.is_sorted());
    for at in 0..64 * 36_usize {
        let near =
            [0_usize, 1, 64, 65, 63].into_iter().flat_map(|by| [at.saturating_sub(by), (at + by).min(64 * 36 - 1)]);
        let wanted = near.into_iter().any(|at| shows(&before, at) || shows(&after, at));
        assert_eq!(traced.contains(&at), wanted, "{} {}", at % 64, at / 64);
    }
}

#[test]
fn a_metal_mirrors_in_its_own_colour_alone() {
    struct Metal;
    impl Shape for Metal {
        fn bounds(&self) -> Bounds {
            Bounds::around(v3(0.0, 0.0, -1.0), v3(2.0, 2.0, 0.1))
        }
        fn distance(&self, p: Vec3, _: f64) -> f64 {
            distance::block(p - v3(0.0, 0.0, -1.0), v3(2.0, 2.0, 0.1), 0.0)
        }
        fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
            Surface { metal: true, ..Surface::of(COPPER, normal).glossy(0.9, 100.0) }
        }
    }
    let plate = Plate::whole(&scene(vec![Box::new(Metal)], Vec::new()), &view(), SIZE, 0.0);
    let parts = plate.pixel(18 * 64 + 32);
    assert!(parts.iter().all(|part| part.material as usize == COPPER.index()), "{parts:?}");
    // Schlick (1994) at straight view: the stated share of what is behind the camera.
    let sum: f32 = parts.iter().map(|part| part.weight).sum();
    assert!((sum - 0.45).abs() < 1e-3, "{sum}");
}
