//! Where a mark lies in the picture: whole pixels of one material.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use crate::material::Material;
use crate::set_up::{Mark, MarkKind};
use crate::space::View;
use crate::trace::{Part, Plate};

/// A rectangle of whole pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rect {
    /// Leftmost column.
    pub x: u32,
    /// Uppermost row.
    pub y: u32,
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
}

impl Rect {
    /// A pixel less on every side, in each direction that has more than two.
    fn smaller(self) -> Option<Self> {
        let less = |start: u32, count: u32| if count > 2 { (start + 1, count - 2) } else { (start, count) };
        let ((x, width), (y, height)) = (less(self.x, self.width), less(self.y, self.height));
        let smaller = Self { x, y, width, height };
        (smaller != self).then_some(smaller)
    }
}

/// A mark with its place in the picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    /// The mark.
    pub mark: Mark,
    /// Pixels wholly on it.
    pub rect: Rect,
    /// What it is of, or mostly.
    pub material: Material,
}

impl Spot {
    /// Where a mark lies in the first picture; none where no pixel shows it alone.
    pub fn of(mark: &Mark, view: &View, plate: &Plate) -> Option<Self> {
        let mut rect = rect_of(mark, view, plate)?;
        loop {
            if let Some(material) = material_in(plate, rect, mark.kind) {
                return Some(Self { mark: *mark, rect, material });
            }
            rect = rect.smaller()?;
        }
    }

    /// The parts of its pixels.
    pub fn pixels<'a>(&self, plate: &'a Plate) -> impl Iterator<Item = &'a [Part]> {
        pixels(plate, self.rect)
    }

    /// Mean light of each source on it, whatever it is made of.
    pub fn light(&self, plate: &Plate, sources: usize) -> Vec<f64> {
        let mut light = vec![0.0; sources];
        for part in self.pixels(plate).flatten() {
            if let Some(sum) = light.get_mut(usize::from(part.source)) {
                *sum += f64::from(part.weight);
            }
        }
        let count = f64::from(self.rect.width * self.rect.height);
        light.into_iter().map(|sum| sum / count).collect()
    }
}

fn pixels(plate: &Plate, rect: Rect) -> impl Iterator<Item = &[Part]> {
    let width = plate.window().width as usize;
    (rect.y..rect.y + rect.height)
        .flat_map(move |y| (rect.x..rect.x + rect.width).map(move |x| y as usize * width + x as usize))
        .map(|at| plate.pixel(at))
}

/// Whole pixels within a mark, or the one in its middle.
fn rect_of(mark: &Mark, view: &View, plate: &Plate) -> Option<Rect> {
    let (width, height) = (plate.window().width, plate.window().height);
    let half = f64::from(height) / 2.0;
    let [across, up] = view.place(mark.place)?;
    let [wide, high] = view.span(mark.place, mark.half)?;
    let span = |middle: f64, reach: f64, limit: u32| {
        let (first, end) = ((middle - reach).ceil().max(0.0), (middle + reach).floor().min(f64::from(limit)));
        if end - first >= 1.0 {
            Some((first as u32, (end - first) as u32))
        } else {
            (0.0..f64::from(limit)).contains(&middle).then_some((middle as u32, 1))
        }
    };
    let (x, width) = span(f64::from(width) / 2.0 + across * half, wide * half, width)?;
    let (y, height) = span(half - up * half, high * half, height)?;
    Some(Rect { x, y, width, height })
}

/// The one material that all pixels show: alone where the mark is of a flat paint, else most of all.
fn material_in(plate: &Plate, rect: Rect, kind: MarkKind) -> Option<Material> {
    let flat = matches!(kind, MarkKind::Card | MarkKind::Patch(_) | MarkKind::DarkGrey);
    let found: BTreeSet<Option<u8>> = pixels(plate, rect)
        .map(|parts| {
            let main = main_part(parts)?;
            (!flat || parts.iter().all(|part| part.material == main)).then_some(main)
        })
        .collect();
    match found.into_iter().collect::<Vec<_>>()[..] {
        [Some(material)] => Material::numbered(usize::from(material)),
        _ => None,
    }
}

/// The material that sends most of a pixel's light, were all of them white. A plate has the parts of a material together.
pub fn main_part(parts: &[Part]) -> Option<u8> {
    let materials = parts.chunk_by(|a, b| a.material == b.material);
    let weighed =
        materials.filter_map(|own| Some((own.first()?.material, own.iter().map(|part| part.weight).sum::<f32>())));
    weighed.max_by(|(_, a), (_, b)| a.total_cmp(b)).map(|(material, _)| material)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rectangle_shrinks_to_its_middle() {
        let mut rect = Rect { x: 10, y: 20, width: 6, height: 3 };
        let mut seen = vec![rect];
        while let Some(smaller) = rect.smaller() {
            rect = smaller;
            seen.push(rect);
        }
        assert_eq!(seen.len(), 3);
        assert_eq!(rect, Rect { x: 12, y: 21, width: 2, height: 1 });
    }
}
