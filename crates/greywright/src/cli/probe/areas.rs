//! Points and areas as they are typed.

use measure::readings::{Area, MovingArea};

use crate::cli::failure::Failure;

/// A point or an area as typed: `[NAME=][FRAME:]NUMBERS`.
#[derive(Debug, Clone, PartialEq)]
pub struct Typed {
    text: String,
    name: Option<String>,
    frame: Option<i64>,
    area: Area,
}

/// An area with its name.
#[derive(Debug, Clone, PartialEq)]
pub struct Named {
    /// The name; what was typed where none was given.
    pub name: String,
    /// Where it is at which frame.
    pub area: MovingArea,
}

/// Reads `X,Y`: one pixel.
pub fn point(text: &str) -> Result<Typed, String> {
    typed(text, |numbers| match *numbers {
        [x, y] => Some(Area { x, y, width: 1.0, height: 1.0 }),
        _ => None,
    })
    .ok_or_else(|| "left and top in pixels are wanted, for instance 640,300, card=640,300 or 1001:640,300".to_string())
}

/// Reads `X,Y,W,H`.
pub fn area(text: &str) -> Result<Typed, String> {
    typed(text, |numbers| match *numbers {
        [x, y, width, height] if width > 0.0 && height > 0.0 => Some(Area { x, y, width, height }),
        _ => None,
    })
    .ok_or_else(|| {
        "left, top, width and height in pixels are wanted, for instance 640,300,20,15, card=640,300,20,15 or \
         card=1001:640,300,20,15"
            .to_string()
    })
}

fn typed(text: &str, area: impl Fn(&[f64]) -> Option<Area>) -> Option<Typed> {
    let (name, rest) = match text.split_once('=') {
        Some((name, rest)) if !name.trim().is_empty() => (Some(name.trim().to_string()), rest),
        Some(_) => return None,
        None => (None, text),
    };
    let (frame, numbers) = match rest.split_once(':') {
        Some((frame, numbers)) => (Some(frame.trim().parse().ok()?), numbers),
        None => (None, rest),
    };
    let numbers = numbers.split(',').map(|number| number.trim().parse::<f64>().ok().filter(|v| v.is_finite()));
    let area = area(&numbers.collect::<Option<Vec<_>>>()?)?;
    Some(Typed { text: text.trim().to_string(), name, frame, area })
}

/// Those of one name are one area, placed at several frames; those without a name are one too if they say frames, else each
/// is its own.
///
/// # Errors
/// A name that stands still twice, or both stands still and is placed at frames.
pub fn together(all: &[Typed]) -> Result<Vec<Named>, Failure> {
    let mut named: Vec<(Named, bool)> = Vec::new();
    for typed in all {
        let moves = typed.frame.is_some();
        let name = match (&typed.name, moves) {
            (Some(name), _) => name.clone(),
            (None, true) => "area".to_string(),
            (None, false) => typed.text.clone(),
        };
        let at = named.iter().position(|(other, _)| other.name == name);
        match at.and_then(|at| named.get_mut(at)) {
            Some((other, true)) if moves => other.area.place(typed.frame.unwrap_or_default(), typed.area),
            Some((other, _)) => {
                return Err(Failure::usage(format!(
                    "{}: '{}' is there already; give it another name, or say of each place at which frame it is: \
                     {0}=FRAME:X,Y,W,H",
                    typed.text, other.name
                )));
            }
            None => {
                let mut area = MovingArea::default();
                area.place(typed.frame.unwrap_or_default(), typed.area);
                named.push((Named { name, area }, moves));
            }
        }
    }
    Ok(named.into_iter().map(|(named, _)| named).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn areas_are_read_with_name_and_frame() {
        let all = [area("card=1001:10,20,4,4"), area("card=1011:20,20,4,4"), point("5,6"), point("sky=7.5,6")];
        let all: Vec<Typed> = all.into_iter().map(Result::unwrap).collect();
        let named = together(&all).unwrap();
        let names: Vec<&str> = named.iter().map(|named| named.name.as_str()).collect();
        assert_eq!(names, ["card", "5,6", "sky"]);
        assert_eq!(named[0].area.at(1006), Some(Area { x: 15.0, y: 20.0, width: 4.0, height: 4.0 }));
        assert_eq!(named[1].area.at(-3), Some(Area::point(5, 6)));
        // Without a name, what is placed at frames is one area.
        let all = [area("-1:0,0,1,1").unwrap(), area("1:2,0,1,1").unwrap()];
        assert_eq!(together(&all).unwrap()[0].area.at(0).map(|area| area.x), Some(1.0));
    }

    #[test]
    fn what_is_no_area_is_refused() {
        for text in ["", "1,2", "1,2,3,0", "=1,2,3,4", "card=first:1,2,3,4", "1,2,3,nan", "1,2,3,4,5"] {
            assert!(area(text).unwrap_err().contains("card=1001:640,300,20,15"), "{text}");
        }
        assert!(point("1,2,3").is_err());
        let twice = [area("card=1,2,3,4").unwrap(), area("card=5:1,2,3,4").unwrap()];
        assert!(together(&twice).unwrap_err().message.contains("card=5:1,2,3,4: 'card' is there already"));
    }
}
