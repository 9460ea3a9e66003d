//! The wheelhouse itself: windows forward (to the left) and abeam (behind), panelling, ceiling, console and helm.

use super::console::Console;
use super::glass::Pane;
use super::helm::Helm;
use super::tubes::Tubes;
use crate::body::{Boards, Grip, Planks, Slab, WARM_WOOD};
use crate::material::{CREAM_SHADE, OAK, OAK_DARK, SAGE, SAGE_SHADE, STEEL};
use crate::space::{Bounds, Place, Vec3, v3};
use crate::trace::{Shape, Surface};

/// Where the bulkhead behind is, and the forward wall.
pub const BEHIND: f64 = -1.9;
/// x of the forward wall.
pub const FORWARD: f64 = -1.5;
/// Height of the sills, of the windows' heads, of the ceiling.
const SILL: f64 = 1.22;
const HEAD: f64 = 1.98;
const CEILING: f64 = 2.24;
/// x of the posts of the windows behind: of each its middle.
const POSTS: [f64; 4] = [-1.46, -0.72, 0.02, 0.76];
/// z of the posts of the forward windows.
const FORWARD_POSTS: [f64; 4] = [-1.86, -0.98, -0.1, 0.78];

/// How the mate holds the wheel: the top of its rim.
pub const RIM: Grip = Grip::Round { at: v3(-0.78, 1.265, -0.25), along: v3(0.454, 0.0, -0.891), radius: 0.02 };

fn from_to(least: Vec3, most: Vec3) -> Bounds {
    Bounds { least, most }
}

/// A body that throws no shadow, so that the key reaches whom it should past the window frames.
struct Unshading<S>(S);

impl<S: Shape> Shape for Unshading<S> {
    fn bounds(&self) -> Bounds {
        self.0.bounds()
    }
    fn distance(&self, p: Vec3, seconds: f64) -> f64 {
        self.0.distance(p, seconds)
    }
    fn surface(&self, p: Vec3, normal: Vec3, seconds: f64) -> Surface {
        self.0.surface(p, normal, seconds)
    }
    fn shades(&self) -> bool {
        false
    }
}

/// All that is built in, as seen from a camera's place.
pub fn built(eye: Vec3) -> Vec<Box<dyn Shape>> {
    let mut shapes: Vec<Box<dyn Shape>> = Vec::new();
    behind(eye, &mut shapes);
    forward(eye, &mut shapes);
    let ceiling = from_to(v3(FORWARD, CEILING, BEHIND), v3(2.3, CEILING + 0.04, 2.0));
    shapes.push(Box::new(Boards::new(ceiling, 0.11, OAK_DARK, OAK).behind()));
    // The deck above keeps the light of the tubes before the picture from the bulkhead behind.
    let deck = from_to(v3(FORWARD - 0.6, CEILING + 0.05, BEHIND - 0.6), v3(2.6, CEILING + 0.09, -0.9));
    shapes.push(Box::new(Slab::new(deck, 0.0, CREAM_SHADE)));
    for z in [-1.25, -0.35] {
        let beam = from_to(v3(FORWARD, CEILING - 0.075, z - 0.035), v3(2.3, CEILING, z + 0.035));
        shapes.push(Box::new(Slab::new(beam, 0.008, SAGE).aged(SAGE_SHADE).worn(STEEL).behind()));
    }
    shapes.push(Box::new(Tubes::under(v3(-0.62, CEILING - 0.078, -0.95))));
    shapes.push(Box::new(Tubes::under(v3(0.86, CEILING - 0.078, -0.95))));
    shapes.push(Box::new(Console::new(from_to(v3(FORWARD + 0.02, 0.3, -1.1), v3(-0.86, 1.1, 0.75)))));
    shapes.push(Box::new(Helm::on(Place::at(v3(-0.78, 1.02, -0.25)).facing(1.1))));
    shapes
}

fn behind(eye: Vec3, shapes: &mut Vec<Box<dyn Shape>>) {
    let (near, end) = (BEHIND + 0.035, 2.3);
    let last = POSTS[3];
    shapes.push(Box::new(Pane::new(
        from_to(v3(FORWARD, SILL - 0.02, BEHIND - 0.02), v3(last, HEAD + 0.02, BEHIND)),
        eye,
    )));
    for x in POSTS {
        let post = from_to(v3(x - 0.04, SILL, BEHIND - 0.03), v3(x + 0.04, HEAD, near));
        shapes.push(Box::new(Slab::new(post, 0.007, SAGE).aged(SAGE_SHADE).worn(STEEL).glossy(0.035, 26.0).behind()));
    }
    for (from, to, proud) in [(SILL - 0.05, SILL, 0.09), (HEAD, HEAD + 0.06, 0.05)] {
        let rail = from_to(v3(FORWARD, from, BEHIND - 0.03), v3(last + 0.04, to, BEHIND + proud));
        shapes.push(Box::new(Unshading(Planks::new(rail, 0.3).of(WARM_WOOD))));
    }
    let dado = from_to(v3(FORWARD, 0.2, BEHIND - 0.04), v3(end, SILL - 0.05, BEHIND));
    shapes.push(Box::new(Boards::new(dado, 0.095, OAK_DARK, OAK).behind()));
    let above = from_to(v3(FORWARD, HEAD + 0.06, BEHIND - 0.04), v3(end, CEILING, BEHIND));
    shapes.push(Box::new(Slab::new(above, 0.0, SAGE).aged(SAGE_SHADE).behind()));
    let wall = from_to(v3(last + 0.04, SILL - 0.05, BEHIND - 0.04), v3(end, HEAD + 0.06, BEHIND));
    shapes.push(Box::new(Boards::new(wall, 0.12, SAGE, SAGE_SHADE).behind()));
    let rail = from_to(v3(last + 0.04, 1.83, BEHIND), v3(end, 1.91, BEHIND + 0.022));
    shapes.push(Box::new(Unshading(Planks::new(rail, 0.3).of(WARM_WOOD))));
}

fn forward(eye: Vec3, shapes: &mut Vec<Box<dyn Shape>>) {
    let near = 1.4;
    shapes.push(Box::new(Pane::new(
        from_to(v3(FORWARD - 0.02, SILL - 0.02, BEHIND), v3(FORWARD, HEAD + 0.02, near)),
        eye,
    )));
    for z in FORWARD_POSTS {
        let post = from_to(v3(FORWARD - 0.03, SILL, z - 0.04), v3(FORWARD + 0.035, HEAD, z + 0.04));
        shapes.push(Box::new(Slab::new(post, 0.007, SAGE).aged(SAGE_SHADE).worn(STEEL).glossy(0.035, 26.0).behind()));
    }
    for (from, to, proud) in [(SILL - 0.05, SILL, 0.09), (HEAD, HEAD + 0.06, 0.05)] {
        let rail = from_to(v3(FORWARD - 0.03, from, BEHIND), v3(FORWARD + proud, to, near));
        shapes.push(Box::new(Unshading(Planks::new(rail, 0.3).of(WARM_WOOD).along_z())));
    }
    let above = from_to(v3(FORWARD - 0.04, HEAD + 0.06, BEHIND), v3(FORWARD, CEILING, near));
    shapes.push(Box::new(Slab::new(above, 0.0, SAGE).aged(SAGE_SHADE).behind()));
    let below = from_to(v3(FORWARD - 0.04, 0.2, BEHIND), v3(FORWARD, SILL - 0.05, near));
    shapes.push(Box::new(Slab::new(below, 0.0, SAGE_SHADE).behind()));
}
