//! Polished things on the wall: a copper pan on a hook, and a brass porthole with the night behind it.

use super::Prop;
use super::look::{Lit, Look};
use crate::geometry::{Area, Point, at, ellipse, mix, rounded_box, smooth, uneven};
use crate::material::{BRASS, COPPER, HORIZON, IRON, NIGHT, WHITE};
use std::f64::consts::TAU;

/// How much of the key a turned (lathe-brushed) disc mirrors in this direction: bright sectors towards the lamps.
fn turned(angle: f64) -> f64 {
    let lobe = |at: f64, sharp: f64| (angle - at).cos().abs().powf(sharp);
    0.16 + 0.95 * lobe(-2.25, 14.0) + 0.34 * lobe(-0.75, 22.0) + 0.16 * lobe(0.3, 6.0)
}

/// How much of the key a round metal bar mirrors: `across` -1..1 towards the outside, at this angle about its ring.
fn ring(across: f64, angle: f64) -> f64 {
    let towards = (angle + 2.25).cos();
    let outer = (-((across - 0.45 * towards.signum()) / 0.22).powi(2)).exp();
    let inner = (-((across + 0.55) / 0.30).powi(2)).exp();
    0.14 + 0.25 * (1.0 - across * across) + 1.1 * outer * towards.abs().powi(3) + 0.18 * inner
}

/// A hanging pan.
pub struct Pan {
    centre: Point,
}

const PAN: f64 = 1.08;

impl Pan {
    /// With the middle of its disc at `centre`, its handle up.
    pub fn hanging(centre: Point) -> Self {
        Self { centre }
    }

    fn handle(q: Point) -> f64 {
        let half = mix(0.10, 0.14, smooth(-1.2, -2.3, q.y));
        rounded_box(q.from(at(0.0, -1.68)), half, 0.72, 0.10)
    }

    fn disc(q: Point) -> Look {
        let distance = q.length();
        let angle = q.y.atan2(q.x);
        let tarnish = uneven(81, at(q.x * 2.2, q.y * 2.2)) * 0.6 + uneven(82, at(q.x * 7.0, q.y * 7.0)) * 0.4;
        if distance > PAN - 0.10 {
            let across = (distance - (PAN - 0.05)) / 0.05;
            return Look::of(COPPER).lit(Lit::Mirror(ring(across, angle)));
        }
        // The wall of the pan, seen from inside: it mirrors the opposite lamp.
        if distance > PAN - 0.30 {
            let depth = (PAN - 0.10 - distance) / 0.20;
            let level = 0.35 * turned(angle + TAU / 2.0) * mix(1.0, 0.45, depth) + 0.04;
            return Look::of(COPPER).lit(Lit::Mirror(level));
        }
        let lathe = 0.92 + 0.08 * uneven(83, at(distance * 70.0, 0.5)) + 0.05 * uneven(84, at(distance * 23.0, 1.5));
        let corner = mix(0.6, 1.0, smooth(PAN - 0.30, PAN - 0.42, distance));
        let middle = mix(0.75, 1.0, smooth(0.0, 0.2, distance));
        Look::of(COPPER)
            .mixed(IRON, 0.30 * smooth(0.45, 0.9, tarnish))
            .lit(Lit::Mirror(turned(angle) * lathe * corner * middle))
    }
}

impl Prop for Pan {
    fn area(&self) -> Area {
        Area::new(self.centre.x - PAN, self.centre.y - 2.55, 2.0 * PAN, 2.55 + PAN)
    }

    fn look(&self, p: Point, _: f64) -> Option<Look> {
        let q = p.from(self.centre);
        for rivet in [at(-0.05, -1.13), at(0.05, -1.02)] {
            let c = q.from(rivet);
            if c.length() < 0.035 {
                return Some(Look::of(COPPER).lit(Lit::Mirror(0.4 - 8.0 * c.y)));
            }
        }
        let eye = q.from(at(0.0, -2.25)).length();
        if Self::handle(q) < 0.0 && eye > 0.065 {
            let across = (q.x / 0.14).clamp(-0.95, 0.95);
            let forged = uneven(85, at(q.x * 9.0, q.y * 6.0)) - 0.5;
            return Some(
                Look::of(IRON)
                    .facing([across + 0.2 * forged, 0.2 * forged, (1.0 - across * across).sqrt()])
                    .glossy(0.16, 16.0),
            );
        }
        if eye < 0.05 {
            return Some(Look::of(IRON).facing([q.x * 12.0, (q.y + 2.25) * 12.0, 0.7]).glossy(0.3, 30.0));
        }
        (q.length() < PAN).then(|| Self::disc(q))
    }

    fn outline(&self, p: Point, _: f64) -> f64 {
        let q = p.from(self.centre);
        (q.length() - PAN).min(Self::handle(q))
    }
    fn depth(&self) -> f64 {
        0.22
    }
}

/// A porthole.
pub struct Porthole {
    centre: Point,
}

const OUTER: f64 = 1.30;
const INNER: f64 = 0.94;

impl Porthole {
    /// With its middle at `centre`.
    pub fn at(centre: Point) -> Self {
        Self { centre }
    }

    fn glass(q: Point) -> Look {
        let sea = smooth(0.18, 0.24, q.y);
        let swell = uneven(91, at(q.x * 4.0, q.y * 22.0));
        let body = Look::of(NIGHT).mixed(HORIZON, mix(smooth(-0.9, 0.2, q.y) * 0.5, 0.25 + 0.5 * swell, sea));
        // A pane mirrors the room: one slanted streak, and a shade under the upper rim.
        let slant = q.x * 0.83 + q.y * 0.55;
        let streak = smooth(0.16, 0.0, (slant + 0.42).abs() - 0.10) * 0.045
            + smooth(0.05, 0.0, (slant + 0.10).abs() - 0.03) * 0.03;
        let shade = mix(0.35, 1.0, smooth(0.0, 0.30, INNER - q.length() + 0.1 * q.y));
        body.mixed(if streak > 0.0 { WHITE } else { HORIZON }, if streak > 0.0 { streak } else { 0.5 * swell * sea })
            .open(shade)
    }
}

impl Prop for Porthole {
    fn area(&self) -> Area {
        Area::new(self.centre.x - OUTER, self.centre.y - OUTER, 2.0 * OUTER, 2.0 * OUTER)
    }

    fn look(&self, p: Point, _: f64) -> Option<Look> {
        let q = p.from(self.centre);
        let distance = q.length();
        if distance > OUTER {
            return None;
        }
        if distance < INNER {
            return Some(Self::glass(q));
        }
        let angle = q.y.atan2(q.x);
        // Eight domed bolts.
        let nearest = (angle / (TAU / 8.0)).round() * (TAU / 8.0);
        let middle = (OUTER + INNER) / 2.0 + 0.03;
        let c = q.from(at(middle * nearest.cos(), middle * nearest.sin()));
        if ellipse(c, 0.075, 0.075) < 0.0 {
            let towards = (-c.x * 0.6 - c.y * 0.8) / 0.075;
            return Some(Look::of(BRASS).lit(Lit::Mirror(0.22 + 0.75 * smooth(0.1, 0.8, towards))));
        }
        let worn = 0.85 + 0.3 * uneven(92, at(angle * 6.0, distance * 5.0));
        let (across, base) = if distance < INNER + 0.12 {
            ((distance - INNER - 0.06) / 0.06, 0.8)
        } else {
            ((distance - (OUTER + INNER + 0.12) / 2.0) / 0.12, 1.0)
        };
        let contact = mix(0.5, 1.0, smooth(0.075, 0.12, c.length()));
        Some(Look::of(BRASS).lit(Lit::Mirror(base * worn * contact * ring(across.clamp(-1.0, 1.0), angle))))
    }

    fn outline(&self, p: Point, _: f64) -> f64 {
        p.from(self.centre).length() - OUTER
    }
    fn depth(&self) -> f64 {
        0.12
    }
}
