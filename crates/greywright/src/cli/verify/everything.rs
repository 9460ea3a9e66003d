//! What `verify` tries where no chain is given: the registry's operations over their controls, encodings, displays.

use colour::Encoding;
use colour::lut::{Lut, LutKind};
use graph::{Elaborated, Original};
use ops::{Book, Control, Field, Op};

use super::Failure;

/// LUTs of our own making, by the names that chains use: the kind, the entries a side, and what it does.
type Made = (&'static str, LutKind, usize, fn([f64; 3]) -> [f64; 3]);
const LUTS: [Made; 2] = [
    ("made-curves", LutKind::OneD, 65, |[r, g, b]| [r * r, g, 0.05 + 0.9 * b]),
    ("made-grid", LutKind::ThreeD, 9, |[r, g, b]| [0.9 * r + 0.1 * g * b, g * g, 0.02 + 0.8 * b + 0.1 * r]),
];

/// The built-in encodings, and the LUTs.
pub fn book() -> Result<Book, Failure> {
    let mut book = Book::default();
    for (name, kind, size, function) in LUTS {
        book.add_lut(name, Lut::of(kind, size, [0.0; 3], [1.0; 3], function).map_err(Failure::work)?);
    }
    Ok(book)
}

/// What a chain means for light in the scene. What operations lose is not said: nobody looks at these pictures.
pub fn meaning(chain: &str, book: &Book) -> Result<Elaborated, Failure> {
    let document = graph::chain::parse(chain).map_err(Failure::work)?;
    let wiring = document.candidates.get(graph::chain::CANDIDATE);
    let wiring = wiring.ok_or_else(|| Failure::work(format!("{chain}: it has no places")))?;
    graph::elaborate(wiring, &document.kit, &Original::SceneRows, None, book).map_err(Failure::work)
}

/// Every chain to try.
pub fn chains() -> Vec<String> {
    Op::all().iter().flat_map(of_operation).chain(encodings()).collect()
}

fn of_operation(op: &Op) -> Vec<String> {
    let alone = |settings: Vec<String>| settings.into_iter().map(|text| format!("{} {text}", op.id()));
    match op {
        // Encodings have chains of their own.
        Op::InputTransform(_) | Op::Encode(_) => Vec::new(),
        Op::OutputTransform(_) => {
            let displays = ["plain", "aces-2.0"].map(|rendering| {
                ops::Display::ALL.map(|display| format!("display={} rendering={rendering}", display.name()))
            });
            let shaped = [
                "display=BT.1886 black=0.1 rendering=plain",
                "display=HLG peak=600 black=0.05 rendering=plain",
                "rendering=bt2390",
                "rendering=bt2390 display=PQ peak=600 black=0.05",
            ]
            .map(str::to_string);
            alone(displays.concat().into_iter().chain(shaped).collect()).collect()
        }
        Op::WhiteBalance(_) => {
            let methods = colour::Adaptation::ALL.map(|method| format!("from=3200K+0.004duv method={}", method.id()));
            alone(methods.into_iter().chain(["from=9000K degree=0.5".to_string()]).collect()).collect()
        }
        Op::Lut(_) => {
            let files = LUTS.map(|(name, ..)| {
                ["", " from=ACEScct", " from=LogC3 to=BT.1886"].map(|how| format!("file={name}{how}"))
            });
            let trilinear = "file=made-grid from=ACEScct interpolation=trilinear".to_string();
            alone(files.concat().into_iter().chain([trilinear]).collect()).collect()
        }
        // It works on a display's signal.
        Op::SoftClip(_) => {
            alone(over_the_controls(op)).map(|clip| format!("output-transform rendering=plain | {clip}")).collect()
        }
        // Its side picture is the original: two stops darker.
        Op::Mix(_) => alone(over_the_controls(op)).map(|mix| format!("exposure stops=2 | {mix}")).collect(),
        _ => alone(over_the_controls(op)).collect(),
    }
}

/// Both ends of each control alone, then all controls at once at two inner places each; all of that again with each
/// yes-or-no setting turned on.
fn over_the_controls(op: &Op) -> Vec<String> {
    let scales = || op.fields().iter().filter(|field| field.control == Control::Scale);
    // Four places, so that the rows can be read.
    let at = |field: &Field, share: f64| {
        field.soft.map(|(low, high)| (10_000.0 * (low + share * (high - low))).round() / 10_000.0)
    };
    let mut settings = Vec::new();
    for field in scales() {
        settings.extend([0.0, 1.0].iter().filter_map(|&share| Some(format!("{}={}", field.key, at(field, share)?))));
    }
    for shares in [[0.3, 0.8, 0.6], [0.7, 0.2, 0.4]] {
        // Each control takes the next share, and where it has three numbers, all of them.
        let three = |field: &Field| op.get(field.key).is_some_and(|text| text.contains(','));
        let text = scales().zip(shares.iter().cycle()).filter_map(|(field, &share)| {
            let numbers = if three(field) { shares.to_vec() } else { vec![share] };
            let numbers: Option<Vec<_>> = numbers.iter().map(|&share| Some(at(field, share)?.to_string())).collect();
            Some(format!("{}={}", field.key, numbers?.join(",")))
        });
        settings.push(text.collect::<Vec<_>>().join(" "));
    }
    let flags = op.fields().iter().filter(|field| op.get(field.key).as_deref() == Some("false"));
    let turned_on = flags.flat_map(|flag| settings.iter().map(|text| format!("{text} {}=true", flag.key)));
    let turned_on: Vec<_> = turned_on.collect();
    // A setting that shows nothing by itself is tried among the others.
    settings.into_iter().chain(turned_on).filter(|text| !is_neutral(op, text)).collect()
}

fn is_neutral(op: &Op, settings: &str) -> bool {
    let mut op = op.clone();
    let pairs = settings.split(' ').filter_map(|pair| pair.split_once('='));
    pairs.map(|(key, text)| op.set(key, text)).all(|set| set.is_ok()) && op.is_neutral()
}

fn encodings() -> Vec<String> {
    let mut chains = vec!["exposure stops=-3 domain=log".to_string()];
    for id in Encoding::ids() {
        chains.push(format!("input-transform encoding={id}"));
        if Encoding::named(id, None).is_ok_and(|encoding| encoding.reference == colour::Reference::Scene) {
            chains.push(format!("encode encoding={id}"));
            // There and back by the exact pair, with an operation that is not neutral in between.
            chains.push(format!("input-transform encoding={id} | exposure stops=0.5 domain=camera"));
        }
    }
    chains
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_operation_is_tried_and_every_chain_has_a_meaning() {
        let (chains, book) = (chains(), book().unwrap());
        for chain in &chains {
            meaning(chain, &book).unwrap_or_else(|error| panic!("{chain}: {}", error.message));
        }
        for op in Op::all() {
            let tried: Vec<_> =
                chains.iter().filter(|chain| chain.split(" | ").any(|place| place.starts_with(op.id()))).collect();
            assert!(!tried.is_empty(), "{}", op.id());
            for field in
                op.fields().iter().filter(|field| field.soft.is_some() || op.get(field.key).as_deref() == Some("false"))
            {
                assert!(
                    tried.iter().any(|chain| chain.contains(&format!("{}=", field.key))),
                    "{} {}",
                    op.id(),
                    field.key
                );
            }
        }
    }
}
