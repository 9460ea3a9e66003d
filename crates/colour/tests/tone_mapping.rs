//! Published conversions between peaks against `tests/data/tone_mapping.tsv`: Report ITU-R BT.2390, 5.4.1, with the
//! spline as it is printed; Report ITU-R BT.2446-1, methods A and C.

#![expect(clippy::unwrap_used, reason = "a check that cannot read its table has failed")]

#[expect(dead_code, reason = "no column here is a matrix, and triples have a count of their own")]
mod table;

use colour::bt2446::{MethodA, MethodC};
use colour::eetf::Eetf;
use colour::transfer::pq;
use table::{Row, read};

fn close(got: f64, want: f64, row: &Row) {
    // Doubles with a few roundings on each side; PQ multiplies its own by up to 40.
    assert!((got - want).abs() <= 1e-11 * want.abs().max(1.0), "{row:?}: got {got}, the table has {want}");
}

fn numbers<const N: usize>(row: &Row, column: &str) -> [f64; N] {
    let numbers: Vec<f64> = row.text(column).split(' ').map(|number| number.parse().unwrap()).collect();
    numbers.try_into().unwrap()
}

#[test]
fn tone_mapping() {
    for row in read("tone_mapping.tsv") {
        match row.text("what") {
            "EETF" => {
                let [from_peak, from_black, peak, black] = numbers(&row, "between");
                let nits = Eetf::new(from_peak, from_black, peak, black).fitted_nits(row.number("input"));
                close(nits, row.number("light"), &row);
                close(pq::code_from_nits(nits), row.number("output"), &row);
            }
            "method A" => {
                let [hdr, sdr] = numbers(&row, "between");
                let by_a = MethodA::new(hdr, sdr).sdr(numbers(&row, "input"));
                let steps: [f64; 3] = numbers(&row, "steps");
                by_a.luma.iter().zip(steps).for_each(|(got, want)| close(*got, want, &row));
                close(by_a.luma[3], row.number("output"), &row);
                by_a.rgb.iter().zip(numbers::<3>(&row, "light")).for_each(|(got, want)| close(*got, want, &row));
            }
            "method C" => {
                let method = MethodC::default();
                let [k2, k4] = numbers(&row, "steps");
                close(method.k2, k2, &row);
                close(method.k4, k4, &row);
                close(method.sdr_nits(row.number("input")), row.number("output"), &row);
            }
            other => panic!("tone_mapping.tsv has a kind '{other}' that no check reads"),
        }
    }
}
