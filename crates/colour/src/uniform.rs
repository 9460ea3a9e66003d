//! Colour spaces in which equal steps look about equal: CIE u'v', Oklab and ICtCp.

use crate::transfer::{Form, Transfer, pq};
use crate::{Matrix, Xy};

/// CIE 1976 (u', v') of tristimulus values.
///
/// # Source
/// CIE 15:2018, 8.1.
pub fn uv1976_from_xyz(xyz: [f64; 3]) -> [f64; 2] {
    Xy::from_xyz(xyz).to_uv1976()
}

/// XYZ (D65) to the cone responses of Oklab.
const OKLAB_LMS_FROM_XYZ: Matrix = Matrix([
    [0.8189330101, 0.3618667424, -0.1288597137],
    [0.0329845436, 0.9293118715, 0.0361456387],
    [0.0482003018, 0.2643662691, 0.6338517070],
]);

/// Cube roots of the cone responses to Oklab.
const OKLAB_FROM_LMS: Matrix = Matrix([
    [0.2104542553, 0.7936177850, -0.0040720468],
    [1.9779984951, -2.4285922050, 0.4505937099],
    [0.0259040371, 0.7827717662, -0.8086757660],
]);

/// Oklab (L, a, b) of XYZ with D65 white at Y = 1. White lands near a = b = 0 but not on it, because the published
/// matrices are rounded.
///
/// # Source
/// B. Ottosson, A perceptual color space for image processing, 2020.
pub fn oklab_from_xyz(xyz: [f64; 3]) -> [f64; 3] {
    OKLAB_FROM_LMS.apply(OKLAB_LMS_FROM_XYZ.apply(xyz).map(f64::cbrt))
}

/// XYZ (D65, white at Y = 1) of Oklab: the exact inverse of [`oklab_from_xyz`].
pub fn xyz_from_oklab(lab: [f64; 3]) -> [f64; 3] {
    undo(OKLAB_LMS_FROM_XYZ, undo(OKLAB_FROM_LMS, lab).map(|v| v * v * v))
}

const fn over_4096(rows: [[f64; 3]; 3]) -> Matrix {
    let [a, b, c] = rows;
    const fn row(r: [f64; 3]) -> [f64; 3] {
        [r[0] / 4096.0, r[1] / 4096.0, r[2] / 4096.0]
    }
    Matrix([row(a), row(b), row(c)])
}

/// Linear BT.2020 RGB to the cone responses of ICtCp. Source: Rec. ITU-R BT.2100-2, table 7.
pub const ICTCP_LMS_FROM_RGB: Matrix =
    over_4096([[1688.0, 2146.0, 262.0], [683.0, 2951.0, 462.0], [99.0, 309.0, 3688.0]]);

/// PQ-coded cone responses to ICtCp. Source: Rec. ITU-R BT.2100-2, table 7.
pub const ICTCP_FROM_LMS_PQ: Matrix =
    over_4096([[2048.0, 2048.0, 0.0], [6610.0, -13613.0, 7003.0], [17933.0, -17390.0, -543.0]]);

/// HLG-coded cone responses to ICtCp. Source: Rec. ITU-R BT.2100-2, table 7 (BT.2100-1 had the PQ figures here).
pub const ICTCP_FROM_LMS_HLG: Matrix =
    over_4096([[2048.0, 2048.0, 0.0], [3625.0, -7465.0, 3840.0], [9500.0, -9212.0, -288.0]]);

/// ICtCp (PQ) of linear BT.2020 RGB in nits.
///
/// # Source
/// Rec. ITU-R BT.2100-2, table 7.
pub fn ictcp_from_nits(rgb_nits: [f64; 3]) -> [f64; 3] {
    ICTCP_FROM_LMS_PQ.apply(ICTCP_LMS_FROM_RGB.apply(rgb_nits).map(pq::code_from_nits))
}

/// Linear BT.2020 RGB in nits of ICtCp (PQ).
pub fn nits_from_ictcp(ictcp: [f64; 3]) -> [f64; 3] {
    undo(ICTCP_LMS_FROM_RGB, undo(ICTCP_FROM_LMS_PQ, ictcp).map(pq::nits_from_code))
}

/// ICtCp (HLG) of BT.2020 scene light, 0..1.
///
/// # Source
/// Rec. ITU-R BT.2100-2, table 7.
pub fn ictcp_from_hlg_scene(rgb: [f64; 3]) -> [f64; 3] {
    let lms = ICTCP_LMS_FROM_RGB.apply(rgb);
    ICTCP_FROM_LMS_HLG.apply(lms.map(|v| Transfer::Hlg.encode(Form::Published, v)))
}

/// BT.2020 scene light of ICtCp (HLG).
pub fn hlg_scene_from_ictcp(ictcp: [f64; 3]) -> [f64; 3] {
    let lms = undo(ICTCP_FROM_LMS_HLG, ictcp);
    undo(ICTCP_LMS_FROM_RGB, lms.map(|v| Transfer::Hlg.decode(Form::Published, v)))
}

/// M^-1 v for one of the constant matrices above, none of which is singular (tested below).
fn undo(matrix: Matrix, v: [f64; 3]) -> [f64; 3] {
    matrix.inverse().unwrap_or(Matrix::IDENTITY).apply(v)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn every_matrix_has_an_inverse() {
        for m in [OKLAB_LMS_FROM_XYZ, OKLAB_FROM_LMS, ICTCP_LMS_FROM_RGB, ICTCP_FROM_LMS_PQ, ICTCP_FROM_LMS_HLG] {
            assert!(m.inverse().is_some());
        }
    }

    proptest! {
        #[test]
        fn spaces_round_trip(rgb in prop::array::uniform3(0.0f64..1.0)) {
            let close = |got: [f64; 3], want: [f64; 3], tolerance: f64| {
                got.iter().zip(want).all(|(g, w)| (g - w).abs() < tolerance)
            };
            // A cube and two matrix inverses.
            prop_assert!(close(xyz_from_oklab(oklab_from_xyz(rgb)), rgb, 1e-12));
            prop_assert!(close(hlg_scene_from_ictcp(ictcp_from_hlg_scene(rgb)), rgb, 1e-12));
            let nits = rgb.map(|v| v * 10_000.0);
            // PQ turns an ulp of code into 1e-14 of its light; the inverses mix up to three of 10000 nits.
            prop_assert!(close(nits_from_ictcp(ictcp_from_nits(nits)), nits, 1e-7));
        }
    }
}
