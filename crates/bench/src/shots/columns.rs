//! The columns of the table and where they stand.

use egui::{Align, Layout, Rect, pos2};

use super::HEIGHT;
use crate::look::GAP;
use crate::state::Bench;

/// A column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Column {
    Picture,
    Name,
    SetUp,
    Candidate,
    State,
    Lock,
    Stops,
    Mired,
    Duv,
    Clipped,
    Evidence,
    Note,
}

impl Column {
    /// All of them from the left.
    const ALL: [Self; 12] = [
        Self::Picture,
        Self::Name,
        Self::SetUp,
        Self::Candidate,
        Self::State,
        Self::Lock,
        Self::Stops,
        Self::Mired,
        Self::Duv,
        Self::Clipped,
        Self::Evidence,
        Self::Note,
    ];

    /// The least width that it is read at, and its part of what there is more.
    fn width(self) -> (f32, f32) {
        match self {
            Self::Picture => (30.0, 0.0),
            Self::Name => (100.0, 0.12),
            Self::SetUp => (70.0, 0.06),
            Self::Candidate => (74.0, 0.05),
            Self::State => (66.0, 0.02),
            Self::Lock => (40.0, 0.0),
            Self::Stops | Self::Mired | Self::Duv => (36.0, 0.0),
            Self::Clipped => (50.0, 0.0),
            Self::Evidence => (54.0, 0.0),
            Self::Note => (36.0, 0.75),
        }
    }

    /// Its name.
    pub fn heading(self, bench: &Bench) -> String {
        match self {
            Self::Picture => String::new(),
            Self::Name => match bench.table.anchor {
                Some(_) => "shot, # anchor".to_string(),
                None => "shot".to_string(),
            },
            Self::SetUp => "set-up".to_string(),
            Self::Candidate => "candidate".to_string(),
            Self::State => "state".to_string(),
            Self::Lock => "lock".to_string(),
            Self::Stops => "stops".to_string(),
            Self::Mired => "mired".to_string(),
            Self::Duv => "Duv".to_string(),
            Self::Clipped => "clipped".to_string(),
            Self::Evidence => "evidence".to_string(),
            Self::Note => "note".to_string(),
        }
    }

    /// What it says, where the name alone does not tell.
    pub fn hint(self) -> Option<&'static str> {
        match self {
            Self::Stops => Some("how far it is from the anchor shot, in stops; not measured yet"),
            Self::Mired => Some("how far its white is from the anchor shot's; not measured yet"),
            Self::Duv => Some("how much greener its white is than the anchor shot's; not measured yet"),
            Self::Evidence => {
                Some("what the distance was measured on: card, pair, skin or statistics; not measured yet")
            }
            _ => None,
        }
    }

    /// Figures stand at the right of their column.
    pub fn layout(self) -> Layout {
        match self {
            Self::Stops | Self::Mired | Self::Duv | Self::Clipped => Layout::right_to_left(Align::Center),
            _ => Layout::left_to_right(Align::Center),
        }
    }
}

/// The columns within a width, at its top. Where they do not fit, what the distance was measured on is left out, then the picture.
pub fn columns(whole: Rect) -> Vec<(Column, Rect)> {
    let least = |columns: &[Column]| -> f32 {
        let gaps = GAP * columns.len().saturating_sub(1) as f32;
        columns.iter().map(|column| column.width().0).sum::<f32>() + gaps
    };
    let mut all = Column::ALL.to_vec();
    for spared in [Column::Evidence, Column::Picture] {
        if least(&all) > whole.width() {
            all.retain(|column| *column != spared);
        }
    }
    let more = (whole.width() - least(&all)).max(0.0);
    let mut left = whole.left();
    all.into_iter()
        .map(|column| {
            let (least, part) = column.width();
            let right = left + least + part * more;
            let rect =
                Rect::from_min_max(pos2(left, whole.top()), pos2(right.min(whole.right()), whole.top() + HEIGHT));
            left = right + GAP;
            (column, rect)
        })
        .collect()
}
