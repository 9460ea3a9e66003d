//! Numbers by name on the command line: `stops=.1,mired=5`.

/// Reads numbers into their places; what is not named stays. `least` is what no number may be below, 0 itself allowed where it is 0.
///
/// # Errors
/// A name that there is not, what is no number, or one that is too small.
pub fn read(text: &str, places: &mut [(&str, &mut f64)], may_be_zero: bool) -> Result<(), String> {
    for part in text.split(',') {
        let told = part.split_once('=').and_then(|(name, number)| Some((name.trim(), number.trim().parse().ok()?)));
        let told = told.filter(|(_, number): &(&str, f64)| *number > 0.0 || may_be_zero && *number == 0.0);
        let place = told.and_then(|(name, number)| Some((places.iter_mut().find(|(own, _)| *own == name)?, number)));
        let Some(((_, place), number)) = place else {
            let names: Vec<&str> = places.iter().map(|(name, _)| *name).collect();
            let least = if may_be_zero { "of 0 or more" } else { "above 0" };
            return Err(format!("'{part}': NAME=NUMBER is wanted, a number {least} for any of {}", names.join(", ")));
        };
        **place = number;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_named_is_set_and_the_rest_stays() {
        let (mut a, mut b) = (1.0, 2.0);
        read("b=.5", &mut [("a", &mut a), ("b", &mut b)], false).unwrap();
        assert_eq!((a, b), (1.0, 0.5));
        for wrong in ["c=1", "a", "a=x", "a=-1", "a=0", "a=nan", ""] {
            assert!(read(wrong, &mut [("a", &mut a), ("b", &mut b)], false).unwrap_err().contains("a, b"), "{wrong}");
        }
        read("a=0,b=0", &mut [("a", &mut a), ("b", &mut b)], true).unwrap();
        assert_eq!((a, b), (0.0, 0.0));
    }
}
