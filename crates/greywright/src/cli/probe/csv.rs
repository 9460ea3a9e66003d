//! Readings as CSV: a row a frame, area and place.

use std::fmt::Write as _;
use std::path::Path;

use super::reader::{OfArea, OfFrame};
use super::record::{Levels, Record};
use crate::cli::failure::Failure;
use crate::cli::say;

/// The columns. What has no meaning at a place is empty.
const HEAD: &str = "frame,area,left,top,width,height,at,pixels,left_out,not_finite,\
red,green,blue,red_median,green_median,blue_median,red_sd,green_sd,blue_sd,\
code_red,code_green,code_blue,code_red_sd,code_green_sd,code_blue_sd,\
light_red,light_green,light_blue,stops,nits,x,y,u,v,kelvin,duv,kelvin_of,target_mired,target_duv,\
L,a,b,delta_e_2000,delta_e_itp,hue_degrees,hue_chroma";

/// Writes readings.
///
/// # Errors
/// A file that cannot be written.
pub fn write(path: &Path, frames: &[OfFrame]) -> Result<(), Failure> {
    Ok(media::store(path, &media::Encoded::of(text(frames).into_bytes()))?)
}

fn text(frames: &[OfFrame]) -> String {
    let mut text = format!("{HEAD}\n");
    for frame in frames {
        for area in &frame.areas {
            if area.readings.is_empty() {
                // The frame keeps its row where the area has left the picture.
                let _ = writeln!(text, "{}", place_of(frame, area).join(",") + &",".repeat(columns() - 6));
            }
            for record in &area.readings {
                let mut cells = place_of(frame, area);
                cells.extend(figures(record));
                // Writing to a string cannot fail.
                let _ = writeln!(text, "{}", cells.join(","));
            }
        }
    }
    text
}

fn columns() -> usize {
    HEAD.split(',').count()
}

fn place_of(frame: &OfFrame, area: &OfArea) -> Vec<String> {
    let mut cells = vec![frame.frame.to_string(), quoted(&area.name)];
    match area.pixels {
        Some(pixels) => cells.extend(pixels.map(|number| number.to_string())),
        None => cells.extend(std::array::from_fn::<_, 4, _>(|_| String::new())),
    }
    cells
}

fn figures(record: &Record) -> Vec<String> {
    let mut cells = vec![quoted(&record.at)];
    cells.extend([record.pixels, record.left_out, record.not_finite].map(|count| count.to_string()));
    let mut all: Vec<Option<f64>> = Vec::new();
    let value = &record.value;
    all.extend([value.mean, value.median, value.sd].concat().into_iter().map(Some));
    let three = |of: Option<&Levels>, which: fn(&Levels) -> [f64; 3]| -> [Option<f64>; 3] {
        of.map_or([None; 3], |levels| which(levels).map(Some))
    };
    all.extend(three(record.code.as_ref(), |levels| levels.mean));
    all.extend(three(record.code.as_ref(), |levels| levels.sd));
    all.extend(three(record.light.as_ref(), |levels| levels.mean));
    all.extend([record.stops, record.nits]);
    all.extend(record.xy.map_or([None; 2], |xy| xy.map(Some)));
    all.extend(record.uv.map_or([None; 2], |uv| uv.map(Some)));
    let temperature = record.temperature.as_ref();
    all.extend([temperature.map(|of| of.kelvin), temperature.map(|of| of.duv)]);
    cells.extend(all.drain(..).map(number));
    cells.push(temperature.map(|of| quoted(&of.of)).unwrap_or_default());
    let white = record.white.as_ref();
    all.extend([white.map(|of| of.mired), white.map(|of| of.duv)]);
    all.extend(record.lab.map_or([None; 3], |lab| lab.map(Some)));
    all.extend([record.delta_e_2000, record.delta_e_itp]);
    all.extend([record.hue.as_ref().map(|hue| hue.degrees), record.hue.as_ref().map(|hue| hue.chroma)]);
    cells.extend(all.into_iter().map(number));
    cells
}

fn number(value: Option<f64>) -> String {
    value.map(|value| say::significant(value, 9)).unwrap_or_default()
}

/// A text with commas or quotation marks in quotation marks.
fn quoted(text: &str) -> String {
    if text.contains([',', '"']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.to_string() }
}
