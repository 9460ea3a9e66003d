//! What sets one face apart from another: lengths in millimetres in the head's own axes, whose origin lies between the
//! ears at the height of the eyes, x to the side, y up, z to the front.

/// The proportions of a head. Sides are given as [-x, +x], since no face is the same on both.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Features {
    /// Half axes of the skull.
    pub skull: [f64; 3],
    /// Half the width over the cheekbones.
    pub cheekbones: f64,
    /// How far the cheeks' soft parts stand out, beside the middle of all people.
    pub cheeks: f64,
    /// Half the width of the jaw at its corners.
    pub jaw: f64,
    /// Half the width of the chin, and how far it stands forward.
    pub chin: [f64; 2],
    /// How far the ridge over the eyes stands out.
    pub ridge: f64,
    /// Height of the fold between brow and lid: the lower the heavier the eye.
    pub fold: f64,
    /// How far the lids are open.
    pub open: [f64; 2],
    /// Fullness of the bags under the eyes.
    pub bags: f64,
    /// Height of the brows over the eyes.
    pub brows: [f64; 2],
    /// Half the width of the nose's bridge, of its tip and of its wings.
    pub nose: [f64; 3],
    /// Where the tip of the nose is: height and front.
    pub tip: [f64; 2],
    /// How far the nose is out of the middle at its tip.
    pub bent: f64,
    /// How far the bridge of the nose is humped.
    pub hump: f64,
    /// Half the width of the mouth.
    pub mouth: f64,
    /// Thickness of the upper and the lower lip.
    pub lips: [f64; 2],
    /// How far the corners of the mouth are up (plus) or down.
    pub corners: f64,
    /// Depth of the fold from the nose to the corner of the mouth.
    pub folds: f64,
    /// Depth of the lines on the forehead and beside the eyes.
    pub lines: f64,
}

/// Lean, with a long nose that was broken once, deep set eyes and hollow cheeks.
pub const MATE: Features = Features {
    skull: [75.0, 84.0, 95.0],
    cheekbones: 66.0,
    cheeks: -2.0,
    jaw: 44.0,
    chin: [19.0, 1.0],
    ridge: 2.0,
    fold: 8.5,
    open: [4.6, 4.0],
    bags: 1.0,
    brows: [15.0, 16.5],
    nose: [6.2, 8.8, 15.5],
    tip: [-43.0, 113.0],
    bent: 1.2,
    hump: 1.6,
    mouth: 25.0,
    lips: [3.0, 4.2],
    corners: 0.8,
    folds: 1.6,
    lines: 0.3,
};

/// Broad and older: full cheeks and lips, a wide nose, heavy lids and deep folds.
pub const COOK: Features = Features {
    skull: [78.0, 83.0, 94.0],
    cheekbones: 68.0,
    cheeks: 5.0,
    jaw: 51.0,
    chin: [22.0, -1.0],
    ridge: 0.5,
    fold: 6.5,
    open: [3.4, 3.8],
    bags: 2.2,
    brows: [17.0, 15.5],
    nose: [7.5, 11.5, 20.5],
    tip: [-44.0, 107.5],
    bent: -0.5,
    hump: 0.0,
    mouth: 27.5,
    lips: [5.2, 6.4],
    corners: 1.8,
    folds: 3.2,
    lines: 0.75,
};
