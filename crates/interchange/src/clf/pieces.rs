//! One step of a candidate as nodes, where nodes say it exactly; a curve that no node has is a fine table.

use std::sync::Arc;

use colour::lut::LutKind;
use colour::transfer::gamma::{BT1886_EXPONENT, Bt1886};
use colour::transfer::{Form, LogSegments, Transfer, bt709, srgb};
use colour::{Affine, Matrix};
use ops::{Operation as _, Point, Pointwise as _, Step};

use super::{Exponent, HalfTable, LARGEST_GRID, Law, Log, Node, Range, Way};

/// How far a node may be from the published curve that it stands for: a fiftieth of a 10-bit code. Parts of published curves
/// meet at their break only about so well, where those of a node always meet.
const CLOSE: f64 = 1.0 / 1023.0 / 50.0;

/// The nodes of a step; none where it mixes channels in a way that only a 3D table holds.
pub fn nodes(step: &Step) -> Option<Vec<Node>> {
    if let Some(affine) = step.point.affine(&step.takes) {
        return Some(vec![Node::Matrix(affine)]);
    }
    match &step.point {
        Point::CodeToLight(point) => decode(&point.curve.transfer, point.form),
        Point::LightToCode(point) => encode(&point.curve.transfer, point.form),
        Point::Cdl(cdl) if cdl.is_neutral() => Some(Vec::new()),
        Point::Cdl(cdl) => Some(vec![Node::Cdl(cdl.clone())]),
        Point::SoftClip(clip) if clip.is_neutral() => Some(Vec::new()),
        Point::SoftClip(clip) => {
            let eval = clip.eval(&step.takes);
            fine(move |v| eval([v; 3])[0])
        }
        Point::LookUp(look_up) => {
            let lut = &look_up.lut;
            // Ends of its own for each channel are no Range.
            let ([low, ..], [high, ..]) = (lut.low(), lut.high());
            let one_range = lut.low() == [low; 3] && lut.high() == [high; 3];
            let fits = lut.kind() == LutKind::OneD || lut.size() <= LARGEST_GRID;
            if !one_range || !fits {
                return None;
            }
            let unit = colour::Lut::new(lut.kind(), lut.size(), [0.0; 3], [1.0; 3], lut.entries().to_vec()).ok()?;
            let mut nodes = unit_range(low, high);
            nodes.push(Node::Table(Arc::new(unit), look_up.interpolation));
            Some(nodes)
        }
        _ => None,
    }
}

/// The numbers from `low` to `high` as 0 to 1, held there; nothing where they are that.
pub fn unit_range(low: f64, high: f64) -> Vec<Node> {
    if [low, high] == [0.0, 1.0] {
        return Vec::new();
    }
    vec![Node::Range(Range { from: [low, high], to: [0.0, 1.0], clamps: true })]
}

/// A function of each channel as a table over the half floats.
pub fn fine(curve: impl Fn(f64) -> f64) -> Option<Vec<Node>> {
    Some(vec![Node::HalfTable(Arc::new(HalfTable::of(curve)?))])
}

/// Code to light.
fn decode(transfer: &Transfer, form: Form) -> Option<Vec<Node>> {
    let nodes = law(transfer, form, Way::Back);
    let back_in_code = |light: f64, _: f64| transfer.encode(Form::Exact, light);
    let light = |code: f64| transfer.decode(form, code);
    match nodes.filter(|nodes| is_close(nodes, |code| code, |code| code, back_in_code)) {
        Some(nodes) => Some(nodes),
        None => fine(light),
    }
}

/// Light to code.
fn encode(transfer: &Transfer, form: Form) -> Option<Vec<Node>> {
    let nodes = law(transfer, form, Way::Forward);
    let light_of = |code: f64| transfer.decode(Form::Exact, code);
    match nodes.filter(|nodes| is_close(nodes, light_of, |code| transfer.encode(form, light_of(code)), |code, _| code))
    {
        Some(nodes) => Some(nodes),
        None => fine(|light| transfer.encode(form, light)),
    }
}

/// Whether nodes come to what is wanted, told in code, at codes from a little below 0 to a little above 1.
fn is_close(
    nodes: &[Node],
    enters: impl Fn(f64) -> f64,
    wanted: impl Fn(f64) -> f64,
    as_code: impl Fn(f64, f64) -> f64,
) -> bool {
    let steps: Vec<_> = nodes.iter().map(Node::eval).collect();
    (-100..=1100).map(|at| f64::from(at) / 1000.0).all(|code| {
        let [out, ..] = steps.iter().fold([enters(code); 3], |rgb, step| step(rgb));
        (as_code(out, code) - wanted(code)).abs() <= CLOSE
    })
}

/// The law that a curve has in nodes, if it has one: forward is from light to code.
fn law(transfer: &Transfer, form: Form, way: Way) -> Option<Vec<Node>> {
    let power = |law, exponent, offset| {
        // A power's own direction is from code to light.
        let way = if way == Way::Forward { Way::Back } else { Way::Forward };
        Node::Exponent(Exponent { law, exponent, offset }, way)
    };
    match transfer {
        Transfer::Linear => Some(Vec::new()),
        Transfer::Log(curve) => {
            let encodes = way == Way::Forward && form == Form::Published;
            let (segments, lin_break) = if encodes {
                (&curve.encoder, curve.linear_cut)
            } else {
                (&curve.decoder, curve.decoder.straight_inverse(curve.code_cut))
            };
            Some(vec![Node::Log(log(segments, lin_break), way)])
        }
        Transfer::Gamma { exponent } => Some(vec![power(Law::Basic, *exponent, 0.0)]),
        Transfer::Srgb => Some(vec![power(Law::MonCurve, srgb::EXPONENT, srgb::ALPHA - 1.0)]),
        Transfer::Bt709Camera => Some(vec![power(Law::MonCurve, bt709::EXPONENT.recip(), bt709::ALPHA - 1.0)]),
        Transfer::Bt1886 { peak_nits, black_nits } => {
            let curve = Bt1886::new(*peak_nits, *black_nits);
            let affine = |scale: f64, offset: f64| {
                Node::Matrix(Affine { matrix: Matrix::diagonal([scale; 3]), offset: [offset; 3] })
            };
            let power = power(Law::Basic, BT1886_EXPONENT, 0.0);
            let (gain, span, black) = (curve.gain_nits, curve.span_nits, curve.black_nits);
            Some(match way {
                Way::Forward => vec![affine(span / gain, black / gain), power, affine(1.0, -curve.lift)],
                Way::Back => vec![affine(1.0, curve.lift), power, affine(gain / span, -black / span)],
            })
        }
        _ => None,
    }
}

fn log(of: &LogSegments, lin_break: f64) -> Log {
    Log {
        base: of.base,
        log_slope: of.c,
        log_offset: of.d,
        lin_slope: of.a,
        lin_offset: of.b,
        lin_break,
        linear_slope: of.e,
    }
}

#[cfg(test)]
mod tests {
    use colour::Encoding;
    use ops::{Signal, conversion};

    use super::*;

    /// The nodes from an encoding's code to its own light and back.
    fn both_ways(name: &str) -> [Vec<Node>; 2] {
        let code = Signal::code(&Encoding::named(name, None).unwrap());
        [conversion(&code, &code.linear()), conversion(&code.linear(), &code)].map(|steps| nodes(&steps[0]).unwrap())
    }

    #[test]
    fn curves_are_laws_where_they_are_one_and_tables_else() {
        for name in ["LogC3", "LogC4", "S-Log3", "V-Log", "ACEScct", "sRGB", "BT.1886"] {
            let [decode, encode] = both_ways(name);
            let is_law = |nodes: &[Node]| !nodes.iter().any(|node| matches!(node, Node::HalfTable(_)));
            assert!(is_law(&decode) && is_law(&encode), "{name}");
        }
        for name in ["PQ", "HLG", "C-Log3", "ACEScc"] {
            let [decode, encode] = both_ways(name);
            assert!(matches!((&decode[..], &encode[..]), ([Node::HalfTable(_)], [Node::HalfTable(_)])), "{name}");
        }
    }

    /// A hundredth of a 10-bit code in tables, two hundredths at a break of a law; at codes of every encoding.
    #[test]
    fn every_encoding_comes_out_as_published() {
        for id in Encoding::ids() {
            let encoding = Encoding::named(id, None).unwrap();
            if encoding.transfer == Transfer::Linear {
                continue;
            }
            let [decode, encode] = both_ways(id);
            let run = |nodes: &[Node], v: f64| nodes.iter().fold([v; 3], |rgb, node| node.eval()(rgb))[0];
            for at in 0..=200 {
                let code = f64::from(at) / 200.0;
                let light = encoding.transfer.decode(Form::Exact, code);
                let decoded = run(&decode, code);
                let there = encoding.transfer.encode(Form::Exact, decoded);
                let wanted = encoding.transfer.encode(Form::Exact, light);
                // A table ends at the largest half float.
                if light < 65504.0 {
                    // Where a curve begins flat, as N-Log does, codes tell more than light has.
                    let close = (there - wanted).abs() < 1.1 * CLOSE || (decoded - light).abs() < 1e-6;
                    assert!(close, "{id} at {code}: {there} {wanted}");
                    let back = run(&encode, light);
                    let in_light = (encoding.transfer.decode(Form::Exact, back) - light).abs();
                    assert!((back - wanted).abs() < 1.1 * CLOSE || in_light < 1e-6, "{id} at {light}: {back} {wanted}");
                }
            }
        }
    }
}
