//! A fluorescent tube as it was measured, as data.

/// First wavelength of [`FL11`], nm.
const FIRST_NM: f64 = 380.0;
/// Distance of its samples, nm.
const STEP_NM: f64 = 5.0;

/// Relative power of CIE illuminant FL11, a tube with three narrow bands: 380 to 780 nm by 5 nm.
///
/// # Source
/// CIE 015:2018, illuminants representing fluorescent lamps, as stored in colour-science 0.4.7.
const FL11: [f64; 81] = [
    0.91, 0.63, 0.46, 0.37, 1.29, 12.68, 1.59, 1.79, 2.46, 3.33, 4.49, 33.94, 12.13, 6.95, 7.19, 7.12, 6.72, 6.13,
    5.46, 4.79, 5.66, 14.29, 14.96, 8.97, 4.72, 2.33, 1.47, 1.10, 0.89, 0.83, 1.18, 4.90, 39.59, 72.84, 32.61, 7.52,
    2.83, 1.96, 1.67, 4.43, 11.28, 14.76, 12.73, 9.74, 7.33, 9.72, 55.27, 42.58, 13.18, 13.16, 12.26, 5.11, 2.07, 2.34,
    3.58, 3.01, 2.48, 2.14, 1.54, 1.33, 1.46, 1.94, 2.00, 1.20, 1.35, 4.10, 5.58, 2.51, 0.57, 0.27, 0.23, 0.21, 0.24,
    0.24, 0.20, 0.24, 0.32, 0.26, 0.16, 0.12, 0.09,
];

/// Relative power of FL11: straight lines between its samples, nothing beyond them.
pub fn fl11(nm: f64) -> f64 {
    let place = (nm - FIRST_NM) / STEP_NM;
    if !(0.0..=80.0).contains(&place) {
        return 0.0;
    }
    let below = (place.floor() as usize).min(79);
    let share = place - below as f64;
    FL11[below] * (1.0 - share) + FL11[below + 1] * share
}
