//! A rectangle of whole pixels.

use frame::Size;

/// A rectangle of pixels within a picture; never empty.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Region {
    x: u32,
    y: u32,
    width: u32,
    height: u32,
}

impl Region {
    /// The rectangle whose left upper pixel is (x, y), cut to the picture; none where nothing of it is left.
    pub fn new(x: u32, y: u32, width: u32, height: u32, size: Size) -> Option<Region> {
        let width = width.min(size.width.saturating_sub(x));
        let height = height.min(size.height.saturating_sub(y));
        (width > 0 && height > 0).then_some(Region { x, y, width, height })
    }

    /// The whole picture; none if it has no pixels.
    pub fn whole(size: Size) -> Option<Region> {
        Region::new(0, 0, size.width, size.height, size)
    }

    /// The rectangle of it whose left upper pixel is (x, y) of the picture; none where nothing of it is left.
    pub fn part(self, x: u32, y: u32, width: u32, height: u32) -> Option<Region> {
        // The region's own far corner is the picture's as far as it is concerned.
        let picture = Size::new(self.right(), self.bottom());
        Region::new(x, y, width, height, picture).and_then(|part| part.meet(self))
    }

    /// What both cover, if anything.
    pub fn meet(self, other: Region) -> Option<Region> {
        let (x, y) = (self.x.max(other.x), self.y.max(other.y));
        let (right, bottom) = (self.right().min(other.right()), self.bottom().min(other.bottom()));
        (x < right && y < bottom).then(|| Region { x, y, width: right - x, height: bottom - y })
    }

    /// The left column.
    pub fn x(self) -> u32 {
        self.x
    }

    /// The top row.
    pub fn y(self) -> u32 {
        self.y
    }

    /// Columns; at least 1.
    pub fn width(self) -> u32 {
        self.width
    }

    /// Rows; at least 1.
    pub fn height(self) -> u32 {
        self.height
    }

    /// Pixels in it.
    pub fn pixels(self) -> u64 {
        u64::from(self.width) * u64::from(self.height)
    }

    /// Whether this pixel lies in it.
    pub fn holds(self, x: u32, y: u32) -> bool {
        (self.x..self.right()).contains(&x) && (self.y..self.bottom()).contains(&y)
    }

    /// The column after the last one. It is within the picture, so it cannot overflow.
    fn right(self) -> u32 {
        self.x + self.width
    }

    fn bottom(self) -> u32 {
        self.y + self.height
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn regions_are_cut_to_the_picture_and_to_each_other() {
        let size = Size::new(10, 8);
        let region = Region::new(6, 5, 9, u32::MAX, size).unwrap();
        assert_eq!((region.width(), region.height(), region.pixels()), (4, 3, 12));
        assert!(region.holds(9, 7) && !region.holds(5, 7));
        assert_eq!(Region::new(10, 0, 1, 1, size), None);
        assert_eq!(Region::whole(Size::new(0, 3)), None);
        let whole = Region::whole(size).unwrap();
        assert_eq!(whole.meet(region), Some(region));
        assert_eq!(region.meet(Region::new(0, 0, 6, 8, size).unwrap()), None);
    }
}
