//! Every derived constant made wrong on the GPU's side must show: by 1e-4 of its size, breaks by a quarter.
//!
//! If a constant could be wrong unnoticed, so could the formula around it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use gpu::assemble::{Mutation, scalar_count};
use graph::Original;
use ops::{Constant, Constants, Pointwise as _, Step};
use plan::{Item, Level, Plan};
use tests::cases::{self, Subject};
use tests::gpu::{Lane, adapter, program};
use tests::pixels;
use tests::tolerance::Standard;

/// Structs without a derived scalar, and why.
const NO_SCALARS: &[(&str, &str)] = &[
    ("Table", "it holds where its table starts and how long it is; the entries are the published figures themselves"),
    ("LutPlace", "a step on the way inside a shader, not handed over"),
    ("Aces2Hue", "likewise"),
    ("Aces2Toes", "likewise"),
    ("Aces2Line", "likewise"),
    ("Aces2Remap", "likewise"),
];

/// Scalars that cannot show, and why. None: a constant that never shows has no place in a shader.
const EXEMPT: &[(&str, &str, &str)] = &[];

/// What has been caught: by struct and scalar, the case that caught it, if any.
type Caught = BTreeMap<(&'static str, String), Option<String>>;

/// Names of the scalars of a struct, as [`Mutation`] counts them.
fn names(constants: &Constants) -> Vec<String> {
    let several = |name: &str, count: usize| (0..count).map(|at| format!("{name}[{at}]")).collect::<Vec<_>>();
    constants
        .iter()
        .flat_map(|(name, constant)| match constant {
            Constant::Scalar(_) | Constant::Break(_) => vec![(*name).to_string()],
            Constant::Triple(_) => several(name, 3),
            Constant::Matrix(_) => several(name, 9),
            Constant::TableLength(_) | Constant::TableStart => Vec::new(),
        })
        .collect()
}

/// The steps of a plan with the struct that holds each one's constants; merged steps hold one together.
fn structs(plan: &Plan) -> Vec<(usize, &'static str, Constants)> {
    fn collect(item: &Item, at: &mut usize, found: &mut Vec<(usize, &'static str, Constants)>) {
        let one = |step: &Step| (step.point.shader().structure, step.point.derive(&step.takes).constants);
        match item {
            Item::Nothing => {}
            Item::Point(step) => {
                let (structure, constants) = one(step);
                found.push((*at, structure, constants));
                *at += 1;
            }
            Item::Affine(factors) => {
                let offset = ("offset", Constant::Triple([0.0; 3]));
                found.push(match plan::is_by_channel(factors) {
                    true => (*at, "Channels", vec![("gain", Constant::Triple([0.0; 3])), offset]),
                    false => (*at, "Matrix", vec![("matrix", Constant::Matrix([[0.0; 3]; 3])), offset]),
                });
                *at += factors.len();
            }
            Item::Scope { inside, .. } => inside.iter().for_each(|item| collect(item, at, found)),
            Item::Mix { mix, main, side, leave, .. } => {
                main.iter().chain(side).for_each(|item| collect(item, at, found));
                found.push((*at, mix.shader().structure, mix.derive().constants));
                *at += 1;
                leave.iter().for_each(|item| collect(item, at, found));
            }
        }
    }
    let (mut found, mut at) = (Vec::new(), 0);
    plan.passes.iter().flat_map(|pass| &pass.instructions).for_each(|i| collect(&i.item, &mut at, &mut found));
    found
}

/// Tries every scalar of a subject that no earlier subject has caught.
fn mutate(subject: &Subject, caught: &mut Caught) {
    let Some(gpu) = adapter() else { return };
    let plan = Plan::new(&subject.elaborated, Level::Full);
    let structs = structs(&plan);
    let wanted: Vec<_> = structs
        .iter()
        .flat_map(|(step, structure, constants)| {
            let names = names(constants);
            assert_eq!(names.len(), scalar_count(constants), "{structure}");
            names
                .into_iter()
                .enumerate()
                .map(move |(scalar, name)| (Mutation { step: *step, scalar }, (*structure, name)))
        })
        .filter(|(_, key)| caught.entry(key.clone()).or_default().is_none())
        .collect();
    if wanted.is_empty() {
        return;
    }
    let pixels = pixels::pictures(&pixels::breaks(&subject.elaborated));
    let standard = Standard::new(&subject.name, &subject.elaborated, &pixels).with_steep(subject.steep());
    let right = program(&subject.elaborated, Level::Full, None);
    let mut lane = Lane::new(&gpu, &right, &pixels);
    let verdict = standard.judge(&lane.run());
    assert!(verdict.holds(), "unmutated: {:?}", verdict.failure());
    for (mutation, key) in wanted {
        let wrong = program(&subject.elaborated, Level::Full, Some(mutation));
        assert_eq!(wrong.passes[0].wgsl, right.passes[0].wgsl, "a mutation changes bytes alone");
        lane.set(&wrong);
        if !standard.judge(&lane.run()).holds() {
            caught.insert(key, Some(subject.name.clone()));
        }
    }
}

fn caught() -> Caught {
    let mut caught = Caught::new();
    let merged = "exposure stops=0.5 | white-balance from=3200K method=CAT16 | exposure stops=-0.2";
    let scoped = "exposure stops=0.5 domain=log | white-balance from=A domain=log";
    let channels = "flare all=1 | exposure stops=0.5 | channel-gain red=1.1 domain=scene";
    let chains = [merged, scoped, channels].map(|text| Subject::chain(text, &Original::SceneRows));
    for subject in cases::conversions().iter().chain(&cases::operations()).chain(&chains) {
        mutate(subject, &mut caught);
    }
    caught
}

#[test]
fn every_wrong_constant_is_noticed() {
    if adapter().is_none() {
        return;
    }
    let caught = caught();
    let exempt = |key: &(&str, String)| EXEMPT.iter().any(|(structure, name, _)| key.0 == *structure && key.1 == *name);
    let missed: Vec<_> =
        caught.iter().filter(|(key, case)| case.is_none() && !exempt(key)).map(|(key, _)| key).collect();
    for ((structure, name), case) in &caught {
        println!("{structure}.{name}: {}", case.as_deref().unwrap_or("not noticed"));
    }
    let total = caught.len();
    println!("{} of {total} mutations noticed", total - missed.len());
    assert!(missed.is_empty(), "nobody would notice these being wrong: {missed:?}");
    for (structure, name, _) in EXEMPT {
        assert!(caught[&(*structure, (*name).to_string())].is_none(), "{structure}.{name} is exempt but shows");
    }
    every_struct_was_tried(&caught);
}

/// A struct of a shader that no case reaches would go unjudged.
fn every_struct_was_tried(caught: &Caught) {
    let tried: BTreeSet<&str> = caught.keys().map(|(structure, _)| *structure).collect();
    let shaders = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shaders");
    for folder in ["ops", "curves", "luts", "shared"] {
        for entry in std::fs::read_dir(shaders.join(folder)).expect("the shaders lie beside the tests") {
            let path = entry.expect("the folder can be read").path();
            let text = std::fs::read_to_string(&path).expect("the shader can be read");
            for structure in text.lines().filter_map(|line| line.strip_prefix("struct ")?.strip_suffix(" {")) {
                let excused = NO_SCALARS.iter().any(|(name, _)| *name == structure);
                assert!(excused || tried.contains(structure), "no case uses {structure} of {}", path.display());
            }
        }
    }
}
