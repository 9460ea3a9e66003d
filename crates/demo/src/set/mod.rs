//! The set: a bulkhead wall, a bench before it, and the things the crew left on them.
//!
//! Everything is a flat shape with a normal of its own (two and a half dimensions): quick, exact to sample, and lit
//! by the same key and ambient light, with soft shadows on wall and bench.

mod backdrop;
mod chart;
mod herbs;
mod look;
mod metal;
mod mug;
mod ramp;
mod rope;
mod trap;
mod vest;

use crate::geometry::{Area, Point, at, ellipse, smooth};

pub use backdrop::Wall;
pub use look::{Direction, Lighting};
pub use ramp::{FIRST_STOP, LAST_STOP, STEPS};

use look::Look;

/// Width of the stage in its own units.
pub const STAGE_WIDTH: f64 = 16.0;
/// Height of the stage in its own units.
pub const STAGE_HEIGHT: f64 = 9.0;

/// A thing on the set.
trait Prop: Send + Sync {
    /// All that it ever covers.
    fn area(&self) -> Area;
    /// Its surface at a point; nothing beside it. `moment` is in seconds.
    fn look(&self, p: Point, moment: f64) -> Option<Look>;
    /// Signed distance from its silhouette, for shadows.
    fn outline(&self, p: Point, moment: f64) -> f64;
    /// How far it stands off the wall: the throw of its shadow.
    fn depth(&self) -> f64;
    /// Where it stands on the bench: centre and half width; nothing for what hangs.
    fn footing(&self) -> Option<(f64, f64)> {
        None
    }
    /// Whether it changes over time.
    fn moves(&self) -> bool {
        false
    }
}

/// Where things are in a shot, and where the key comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layout {
    /// What the wall is made of.
    pub wall: Wall,
    /// Direction towards the key light.
    pub key: Direction,
    /// Middle of the hanging life vest.
    pub vest: Point,
    /// Hook that the rope hangs on.
    pub rope: Point,
    /// Where the mug stands.
    pub mug: f64,
    /// Left edge of the grey card.
    pub card: f64,
    /// Left edge of the chart.
    pub chart: f64,
    /// Where the crate of herbs stands.
    pub herbs: f64,
    /// Middle of the hanging pan.
    pub pan: Point,
    /// Middle of the porthole.
    pub porthole: Point,
    /// Where the light trap stands.
    pub trap: f64,
}

/// The set of one shot, ready to be looked at.
pub struct Stage {
    layout: Layout,
    card: chart::Card,
    chart: chart::Chart,
    steam: mug::Steam,
    /// Front to back.
    props: Vec<Placed>,
    even: Area,
}

/// A prop on the set, with what its place and the key make of it.
struct Placed {
    prop: Box<dyn Prop>,
    /// All that it ever covers.
    area: Area,
    /// All that its shadow ever touches on the wall.
    shadow: Area,
    /// Where its shadow falls: this far from the prop.
    throw: Point,
    /// Half the width of the shadow's edge.
    blur: f64,
}

impl Placed {
    fn new(prop: Box<dyn Prop>, key: Direction) -> Self {
        let (area, depth) = (prop.area(), prop.depth());
        let throw = at(-key[0] / key[2] * depth, -key[1] / key[2] * depth);
        let blur = 0.05 + 0.45 * depth;
        let shadow = Area {
            left: area.left + throw.x,
            top: area.top + throw.y,
            right: area.right + throw.x,
            bottom: area.bottom + throw.y,
        };
        Self { prop, area, shadow: shadow.grown(blur), throw, blur }
    }
}

/// Where the things on the bench touch it.
const FOOT: f64 = 7.02;

impl Stage {
    /// Builds the set.
    pub fn new(layout: Layout) -> Self {
        let card = chart::Card::standing(layout.card);
        let chart = chart::Chart::standing(layout.chart);
        let even = card.area().with(&chart.area()).grown(0.15);
        let props: Vec<Box<dyn Prop>> = vec![
            Box::new(ramp::Ramp),
            Box::new(mug::Mug::standing(layout.mug)),
            Box::new(card),
            Box::new(chart),
            Box::new(trap::Trap::standing(layout.trap)),
            Box::new(herbs::Herbs::standing(layout.herbs)),
            Box::new(rope::Rope::hanging(layout.rope)),
            Box::new(vest::Vest::hanging(layout.vest)),
            Box::new(metal::Pan::hanging(layout.pan)),
            Box::new(metal::Porthole::at(layout.porthole)),
        ];
        let props = props.into_iter().map(|prop| Placed::new(prop, layout.key)).collect();
        Self { layout, card, chart, steam: mug::Steam::over(layout.mug), props, even }
    }

    /// Direction towards the key light.
    pub fn key(&self) -> Direction {
        self.layout.key
    }

    /// The grey of the card, without its frame.
    pub fn card(&self) -> Area {
        self.card.face()
    }

    /// A patch of the chart, 0..24 row by row.
    pub fn patch(&self, index: usize) -> Area {
        self.chart.patch(index)
    }

    /// The smooth ramp along the bottom, [`FIRST_STOP`] at its left edge to [`LAST_STOP`] at its right.
    pub fn ramp(&self) -> Area {
        ramp::SMOOTH
    }

    /// One step of the wedge under the ramp and its stops from mid grey; 0..15 from the left.
    pub fn ramp_step(&self, index: usize) -> (Area, f64) {
        ramp::step(index)
    }

    /// Linear RGB of what a ray at `p` meets at `moment` (seconds).
    pub fn radiance(&self, p: Point, moment: f64, lighting: &Lighting) -> [f64; 3] {
        let falloff = self.falloff(p);
        let solid = self.solid(p, moment, falloff, lighting);
        let veil = self.steam.density(p, moment);
        if veil == 0.0 {
            return solid;
        }
        let white = lighting.veil(falloff);
        [0, 1, 2].map(|i| solid[i] + (white[i] - solid[i]) * veil)
    }

    fn solid(&self, p: Point, moment: f64, falloff: f64, lighting: &Lighting) -> [f64; 3] {
        for placed in &self.props {
            if placed.area.holds(p)
                && let Some(look) = placed.prop.look(p, moment)
            {
                return lighting.radiance(&look, falloff, 1.0);
            }
        }
        if p.y < backdrop::BENCH_TOP {
            lighting.radiance(&self.layout.wall.look(p), falloff, self.wall_share(p, moment))
        } else {
            lighting.radiance(&backdrop::bench(p), falloff, self.bench_share(p))
        }
    }

    /// The parts of the stage that change over time, shadows included.
    pub fn moving(&self) -> Vec<Area> {
        let moving = self.props.iter().filter(|placed| placed.prop.moves());
        std::iter::once(self.steam.area()).chain(moving.map(|placed| placed.area.with(&placed.shadow))).collect()
    }

    /// Share of the light: 1 over card and chart, gently less towards the edges of the picture.
    fn falloff(&self, p: Point) -> f64 {
        let away = self.even.distance(p).max(0.0) / 4.6;
        0.14 + 0.86 * (-away * away).exp()
    }

    /// What the shadows leave of the key on the wall.
    fn wall_share(&self, p: Point, moment: f64) -> f64 {
        let mut share = 1.0;
        for placed in self.props.iter().filter(|placed| placed.shadow.holds(p)) {
            let source = p.from(placed.throw);
            share *= smooth(-placed.blur, placed.blur, placed.prop.outline(source, moment));
        }
        // The bench's own line along the wall.
        share * (1.0 - 0.35 * smooth(0.35, 0.0, backdrop::BENCH_TOP - p.y))
    }

    /// What the shadows leave of the key on the bench.
    fn bench_share(&self, p: Point) -> f64 {
        let lean = -self.layout.key[0] * 0.35;
        self.props.iter().filter_map(|placed| placed.prop.footing()).fold(1.0, |share, (centre, half)| {
            let q = p.from(at(centre + lean, FOOT));
            let distance = ellipse(q, half + 0.12, 0.17);
            share * (0.18 + 0.82 * smooth(-0.12, 0.22, distance))
        })
    }
}
