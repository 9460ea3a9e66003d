//! Where a probe reads: a point or a rectangle, standing still or moving from frame to frame.

use std::collections::BTreeMap;

use crate::scopes::Region;

/// A rectangle in pixels from the left upper corner of the picture; not necessarily whole ones, so that it can move smoothly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Area {
    /// The left edge.
    pub x: f64,
    /// The upper edge.
    pub y: f64,
    /// Width; 1 for a point.
    pub width: f64,
    /// Height; 1 for a point.
    pub height: f64,
}

impl Area {
    /// One pixel.
    pub fn point(x: u32, y: u32) -> Area {
        Area { x: f64::from(x), y: f64::from(y), width: 1.0, height: 1.0 }
    }

    /// The whole pixels it covers, edges rounded to the nearest and at least one pixel, that lie within the measuring region;
    /// none where nothing does.
    pub fn pixels(&self, within: Region) -> Option<Region> {
        let edges = |start: f64, length: f64| {
            let first = (start + 0.5).floor();
            let last = (start + length + 0.5).floor().max(first + 1.0);
            (first, last)
        };
        let meet = |(first, last): (f64, f64), from: u32, count: u32| {
            if first.is_nan() || last.is_nan() {
                return None;
            }
            // Whole, and within the region.
            let first = first.max(f64::from(from));
            let last = last.min(f64::from(from) + f64::from(count));
            (first < last).then_some((first as u32, (last - first) as u32))
        };
        let (x, width) = meet(edges(self.x, self.width), within.x(), within.width())?;
        let (y, height) = meet(edges(self.y, self.height), within.y(), within.height())?;
        within.part(x, y, width, height)
    }

    /// The area a share (0 to 1) of the way to another.
    fn towards(self, other: Area, share: f64) -> Area {
        let mix = |a: f64, b: f64| a + (b - a) * share;
        Area {
            x: mix(self.x, other.x),
            y: mix(self.y, other.y),
            width: mix(self.width, other.width),
            height: mix(self.height, other.height),
        }
    }
}

/// An area placed at some frames: in between it moves in a straight line, before the first and after the last it stays.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MovingArea {
    placed: BTreeMap<i64, Area>,
}

impl MovingArea {
    /// An area that stands still.
    pub fn still(area: Area) -> MovingArea {
        MovingArea { placed: BTreeMap::from([(0, area)]) }
    }

    /// Places the area at a frame; what was placed there gives way.
    pub fn place(&mut self, frame: i64, area: Area) {
        self.placed.insert(frame, area);
    }

    /// The area at a frame; none if it was placed nowhere.
    pub fn at(&self, frame: i64) -> Option<Area> {
        let before = self.placed.range(..=frame).next_back();
        let after = self.placed.range(frame..).next();
        match (before, after) {
            (Some((from, start)), Some((to, end))) if to > from => {
                Some(start.towards(*end, (frame - from) as f64 / (to - from) as f64))
            }
            (Some((_, area)), _) | (None, Some((_, area))) => Some(*area),
            (None, None) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use frame::Size;

    fn region(x: u32, y: u32, width: u32, height: u32) -> Option<Region> {
        Region::new(x, y, width, height, Size::new(100, 50))
    }

    #[test]
    fn areas_become_whole_pixels_of_the_measuring_region() {
        let within = region(10, 0, 80, 50).unwrap();
        let pixels = |x, y, width, height| Area { x, y, width, height }.pixels(within);
        assert_eq!(Area::point(10, 49).pixels(within), region(10, 49, 1, 1));
        assert_eq!(Area::point(9, 49).pixels(within), None);
        assert_eq!(pixels(19.5, 3.4, 4.0, 2.0), region(20, 3, 4, 2));
        assert_eq!(pixels(5.0, -3.0, 10.0, 5.0), region(10, 0, 5, 2));
        assert_eq!(pixels(20.2, 3.0, 0.0, 0.0), region(20, 3, 1, 1));
        assert_eq!(pixels(f64::NAN, 3.0, 2.0, 2.0), None);
        assert_eq!(pixels(-1e300, 0.0, f64::INFINITY, 1e300), Some(within));
    }

    #[test]
    fn a_moving_area_is_where_it_was_placed_and_straight_in_between() {
        let area = |x| Area { x, y: 2.0 * x, width: 4.0, height: 4.0 };
        let mut moving = MovingArea::default();
        assert_eq!(moving.at(3), None);
        moving.place(10, area(0.0));
        moving.place(20, area(5.0));
        moving.place(30, area(4.0));
        for (frame, x) in [(0, 0.0), (10, 0.0), (15, 2.5), (20, 5.0), (28, 4.2), (31, 4.0)] {
            assert!((moving.at(frame).unwrap().x - x).abs() < 1e-12, "{frame}");
        }
        assert_eq!(moving.at(15), Some(area(2.5)));
        assert_eq!(MovingArea::still(area(1.0)).at(7), Some(area(1.0)));
    }
}
