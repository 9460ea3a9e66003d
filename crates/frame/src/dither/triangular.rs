//! Triangular noise out of a hash of place, frame and channel.

use super::Noise;

/// Noise of red, green and blue: the difference of two even ones, of 2048 and of 1024 steps, so that their difference is
/// never a half.
pub(super) fn noise(x: u32, y: u32, number: u32) -> [Noise; 3] {
    hash([x, y, number]).map(|word| {
        let first = f64::from(2 * (word >> 21) + 1) / 4096.0;
        let second = f64::from(2 * (word >> 11 & 1023) + 1) / 2048.0;
        Noise { flat: first - 0.5, triangular: first - second }
    })
}

/// Three numbers out of three, each of which hangs on all of them.
///
/// # Source
/// M. Jarzynski, M. Olano, "Hash Functions for GPU Rendering", Journal of Computer Graphics Techniques 9(3), 2020:
/// `pcg3d`, after M. E. O'Neill's generators (2014).
fn hash(of: [u32; 3]) -> [u32; 3] {
    let [x, y, z] = of.map(|value| value.wrapping_mul(1_664_525).wrapping_add(1_013_904_223));
    let [x, y, z] = stirred([x, y, z]).map(|value| value ^ value >> 16);
    stirred([x, y, z])
}

fn stirred([x, y, z]: [u32; 3]) -> [u32; 3] {
    let x = x.wrapping_add(y.wrapping_mul(z));
    let y = y.wrapping_add(z.wrapping_mul(x));
    let z = z.wrapping_add(x.wrapping_mul(y));
    [x, y, z]
}
