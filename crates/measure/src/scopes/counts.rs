//! Counts of a scope over a region of a picture.

use frame::{Frame, Size};
use thiserror::Error;

use super::Region;

/// Most planes of a scope: red, green and blue.
const PLANES: usize = 3;

/// The size of a scope's grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shape {
    /// Grids side by side: 1, or 3 for red, green and blue.
    pub planes: u32,
    /// Cells across.
    pub columns: u32,
    /// Cells up, from the lowest value on.
    pub rows: u32,
}

impl Shape {
    /// Cells of all planes together.
    pub fn cells(self) -> usize {
        self.planes as usize * self.columns as usize * self.rows as usize
    }

    /// Where a cell lies among all of them: planes one after another, each row by row from the lowest.
    pub fn index(self, plane: u32, cell: Cell) -> usize {
        let row = plane as usize * self.rows as usize + cell.row as usize;
        row * self.columns as usize + cell.column as usize
    }
}

/// A cell of a grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cell {
    /// From the left.
    pub column: u32,
    /// From the lowest value.
    pub row: u32,
}

/// Where a pixel counts in one plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// In a cell.
    Cell(Cell),
    /// It is not a number.
    NotANumber,
    /// It is too dark to have a chromaticity.
    Dark,
}

impl Place {
    /// The cell in which both are known, else not a number.
    pub(super) fn of(column: Option<u32>, row: Option<u32>) -> Place {
        match (column, row) {
            (Some(column), Some(row)) => Place::Cell(Cell { column, row }),
            _ => Place::NotANumber,
        }
    }
}

/// What sorts pixels into cells.
pub trait Scope {
    /// The size of its grid.
    fn shape(&self) -> Shape;

    /// Whether it counts linear light ([`crate::Tap::lights`]); else it counts the numbers at the tap as they are.
    fn of_light(&self) -> bool;

    /// Where a pixel counts, one answer a plane; answers beyond the scope's planes mean nothing. `x` is the pixel's column
    /// in the region measured, from 0.
    fn places(&self, x: u32, rgb: [f32; 3]) -> [Place; PLANES];

    /// The depth of the integer codes that it counts; none where it counts what codes do not say.
    fn code_bits(&self) -> Option<u32>;

    /// As [`Scope::places`] for integer codes of that depth, by integer arithmetic alone; none where it counts no codes.
    fn code_places(&self, x: u32, rgb: [u16; 3]) -> Option<[Place; PLANES]>;

    /// The most pixels that one cell can hold when the region is full.
    fn most(&self, region: Region) -> u64 {
        region.pixels()
    }
}

/// Why nothing was counted.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ScopeError {
    /// The pixels are fewer than the picture has.
    #[error("a picture of {size} has {} pixels, {found} are given; give them all, row by row", .size.pixels())]
    Pixels {
        /// The picture.
        size: Size,
        /// Pixels given.
        found: usize,
    },
    /// Floats, or codes that alpha was multiplied into.
    #[error("this frame ({0}) holds no plain integer codes; measure its signal instead")]
    NoCodes(String),
    /// The scope's axes are not of such codes.
    #[error("this scope does not count codes of {0} bits; give it axes of that depth, or measure the frame's signal")]
    NotOfCodes(u32),
}

/// How many pixels fell into each cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Counts {
    shape: Shape,
    cells: Vec<u32>,
    not_a_number: [u32; PLANES],
    dark: [u32; PLANES],
}

impl Counts {
    /// Nothing counted yet.
    pub fn new(shape: Shape) -> Counts {
        Counts { shape, cells: vec![0; shape.cells()], not_a_number: [0; PLANES], dark: [0; PLANES] }
    }

    /// Counts made elsewhere, as a kernel makes them: cells as [`Shape::index`] orders them, and what is not a number and
    /// what is dark, a plane each. None where the number of cells is another.
    pub fn from_cells(
        shape: Shape,
        cells: Vec<u32>,
        not_a_number: [u32; PLANES],
        dark: [u32; PLANES],
    ) -> Option<Counts> {
        (cells.len() == shape.cells()).then_some(Counts { shape, cells, not_a_number, dark })
    }

    /// The size of the grid.
    pub fn shape(&self) -> Shape {
        self.shape
    }

    /// A row of a plane, from the left; empty outside the grid.
    pub fn row(&self, plane: u32, row: u32) -> &[u32] {
        let first = self.shape.index(plane, Cell { column: 0, row });
        let is_inside = plane < self.shape.planes && row < self.shape.rows;
        let cells = if is_inside { self.cells.get(first..first + self.shape.columns as usize) } else { None };
        cells.unwrap_or_default()
    }

    /// Every cell, as [`Shape::index`] orders them.
    pub fn cells(&self) -> &[u32] {
        &self.cells
    }

    /// Pixels in a cell; 0 outside the grid.
    pub fn at(&self, plane: u32, column: u32, row: u32) -> u32 {
        let Shape { planes, columns, rows } = self.shape;
        if plane >= planes || column >= columns || row >= rows {
            return 0;
        }
        self.cells.get(self.shape.index(plane, Cell { column, row })).copied().unwrap_or(0)
    }

    /// Pixels of a plane that are not a number.
    pub fn not_a_number(&self, plane: u32) -> u32 {
        self.not_a_number.get(plane as usize).copied().unwrap_or(0)
    }

    /// Pixels of a plane that are too dark to have a chromaticity.
    pub fn dark(&self, plane: u32) -> u32 {
        self.dark.get(plane as usize).copied().unwrap_or(0)
    }

    /// All pixels of a plane, wherever they were counted.
    pub fn total(&self, plane: u32) -> u64 {
        let a_plane = self.shape.columns as usize * self.shape.rows as usize;
        let cells = self.cells.chunks(a_plane.max(1)).nth(plane as usize).unwrap_or_default();
        cells.iter().map(|count| u64::from(*count)).sum::<u64>()
            + u64::from(self.not_a_number(plane))
            + u64::from(self.dark(plane))
    }

    /// Adds the counts of another part of the same picture, for instance of the next tile. False, with nothing changed,
    /// where the grids differ.
    #[must_use]
    pub fn add(&mut self, other: &Counts) -> bool {
        if self.shape != other.shape {
            return false;
        }
        let pairs = |mine: &mut [u32], theirs: &[u32]| {
            for (mine, theirs) in mine.iter_mut().zip(theirs) {
                *mine = mine.saturating_add(*theirs);
            }
        };
        pairs(&mut self.cells, &other.cells);
        pairs(&mut self.not_a_number, &other.not_a_number);
        pairs(&mut self.dark, &other.dark);
        true
    }

    fn put(&mut self, places: [Place; PLANES]) {
        for (plane, place) in (0..self.shape.planes).zip(places) {
            let at = plane as usize;
            let count = match place {
                Place::Cell(cell) => self.cells.get_mut(self.shape.index(plane, cell)),
                Place::NotANumber => self.not_a_number.get_mut(at),
                Place::Dark => self.dark.get_mut(at),
            };
            if let Some(count) = count {
                *count += 1;
            }
        }
    }
}

/// Counts the pixels of `part` that lie in `region`. Columns go by the region, so that the parts of a picture, each counted
/// for itself, add up to the whole.
///
/// `pixels` is what the scope counts (signal, or light if it is [`Scope::of_light`]), row by row, of a picture of `size`.
///
/// # Errors
/// Fewer pixels than the picture has.
pub fn count(
    scope: &(impl Scope + ?Sized),
    pixels: &[[f32; 4]],
    size: Size,
    region: Region,
    part: Region,
) -> Result<Counts, ScopeError> {
    let mut counts = Counts::new(scope.shape());
    each(pixels, size, region, part, |x, [red, green, blue, _]| {
        counts.put(scope.places(x, [red, green, blue]));
        Ok(())
    })?;
    Ok(counts)
}

/// Counts the integer codes of a frame, by integer arithmetic alone; as [`count`] otherwise.
///
/// # Errors
/// A frame of floats or with alpha, or a scope that does not count codes of its depth.
pub fn count_codes(
    scope: &(impl Scope + ?Sized),
    frame: &Frame,
    region: Region,
    part: Region,
) -> Result<Counts, ScopeError> {
    let codes = frame.to_codes().ok_or_else(|| ScopeError::NoCodes(frame.layout().to_string()))?;
    let bits = frame.layout().bits();
    let otherwise = || ScopeError::NotOfCodes(bits);
    if scope.code_bits() != Some(bits) {
        return Err(otherwise());
    }
    let mut counts = Counts::new(scope.shape());
    each(&codes, frame.size(), region, part, |x, rgb| {
        counts.put(scope.code_places(x, rgb).ok_or_else(otherwise)?);
        Ok(())
    })?;
    Ok(counts)
}

/// Runs `one` over the pixels that lie in the region, the part and the picture, each with its column in the region.
fn each<P: Copy>(
    pixels: &[P],
    size: Size,
    region: Region,
    part: Region,
    mut one: impl FnMut(u32, P) -> Result<(), ScopeError>,
) -> Result<(), ScopeError> {
    if pixels.len() < size.pixels() {
        return Err(ScopeError::Pixels { size, found: pixels.len() });
    }
    let both = Region::whole(size).and_then(|whole| whole.meet(region)).and_then(|region| region.meet(part));
    let Some(both) = both else { return Ok(()) };
    let rows = pixels.chunks(size.width as usize).skip(both.y() as usize).take(both.height() as usize);
    for row in rows {
        let columns = row.iter().skip(both.x() as usize).take(both.width() as usize);
        for (x, pixel) in (both.x() - region.x()..).zip(columns) {
            one(x, *pixel)?;
        }
    }
    Ok(())
}
