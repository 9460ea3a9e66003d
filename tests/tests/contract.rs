//! What every operation and every shader owes the house, asked of all in the registry.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use gpu::assemble::{Sources, assemble, check, members};
use graph::{Document, DocumentError};
use naga::{Module, Scalar, ScalarKind, TypeInner, VectorSize};
use ops::{Constant, Constants, Control, Field, Op, Pointwise as _, Step};
use plan::{Level, Plan};
use serde_json::Value;
use tests::cases::{self, Subject};
use tests::gpu::FLOAT_EDGE;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Shader files of a folder under `shaders/`: path as the program names it, and text.
fn shaders(folder: &str) -> BTreeMap<String, String> {
    let entries = std::fs::read_dir(root().join("shaders").join(folder)).expect("the shaders lie in the checkout");
    entries
        .map(|entry| {
            let path = entry.expect("the folder can be read").path();
            let name = path.file_name().expect("a file has a name").to_string_lossy().into_owned();
            (format!("{folder}/{name}"), std::fs::read_to_string(&path).expect("the shader can be read"))
        })
        .collect()
}

fn subjects() -> Vec<Subject> {
    cases::conversions().into_iter().chain(cases::operations()).collect()
}

fn steps(subject: &Subject) -> Vec<Step> {
    Plan::new(&subject.elaborated, Level::None).steps().into_iter().cloned().collect()
}

#[test]
fn every_operation_is_tried_with_more_than_its_neutral_settings() {
    for op in Op::all() {
        let subjects = cases::of_operation(&op).len();
        assert!(subjects > 2, "{}: scales with ends are wanted, or odd values in tests/src/cases.rs", op.id());
    }
}

// ---- WGSL structs against derived constants ----

/// Name, offset and kind of every member of a struct, as naga lays it out.
fn reflected(module: &Module, structure: &str) -> Vec<(String, usize, String)> {
    let found = module.types.iter().find(|(_, ty)| ty.name.as_deref() == Some(structure));
    let (_, ty) = found.unwrap_or_else(|| panic!("the pass has no struct {structure}"));
    let TypeInner::Struct { members, .. } = &ty.inner else { panic!("{structure} is no struct") };
    let name = |member: &naga::StructMember| member.name.clone().expect("members are named");
    let kind = |member: &naga::StructMember| kind_of_type(&module.types[member.ty].inner);
    members.iter().map(|member| (name(member), member.offset as usize, kind(member))).collect()
}

fn kind_of_type(inner: &TypeInner) -> String {
    const F32: Scalar = Scalar { kind: ScalarKind::Float, width: 4 };
    const U32: Scalar = Scalar { kind: ScalarKind::Uint, width: 4 };
    match *inner {
        TypeInner::Scalar(scalar) if scalar == F32 => "f32".to_string(),
        TypeInner::Scalar(scalar) if scalar == U32 => "u32".to_string(),
        TypeInner::Vector { size: VectorSize::Tri, scalar } if scalar == F32 => "vec3f".to_string(),
        TypeInner::Matrix { columns: VectorSize::Tri, rows: VectorSize::Tri, scalar } if scalar == F32 => {
            "mat3x3f".to_string()
        }
        ref other => format!("{other:?}"),
    }
}

fn kind_of_constant(constant: &Constant) -> String {
    let kind = match constant {
        Constant::Scalar(_) | Constant::Break(_) => "f32",
        Constant::Triple(_) => "vec3f",
        Constant::Matrix(_) => "mat3x3f",
        Constant::TableLength(_) | Constant::TableStart => "u32",
    };
    kind.to_string()
}

/// As the assembler will pack them.
fn packed(constants: &Constants) -> Vec<(String, usize, String)> {
    let kinds = constants.iter().map(|(_, constant)| kind_of_constant(constant));
    members(constants)
        .into_iter()
        .zip(kinds)
        .map(|((name, offset, _), kind)| (name.to_string(), offset, kind))
        .collect()
}

#[test]
fn every_struct_of_the_shaders_is_laid_out_as_its_constants_are_packed() {
    let mut seen = BTreeSet::new();
    for subject in subjects() {
        let plan = Plan::new(&subject.elaborated, Level::None);
        let program = assemble(&plan, FLOAT_EDGE, FLOAT_EDGE).unwrap_or_else(|error| panic!("{error}"));
        for (pass, step) in program.passes.iter().zip(plan.steps()) {
            let shader = step.point.shader();
            let constants = step.point.derive(&step.takes).constants;
            let module = check(&pass.wgsl, &pass.lines).expect("it assembled");
            assert_eq!(reflected(&module, shader.structure), packed(&constants), "{}", subject.name);
            seen.insert(shader.structure);
        }
    }
    println!("{} structs: {seen:?}", seen.len());
}

/// The place of each struct inside the settings of a pass, and the bytes at it.
#[test]
fn constants_lie_in_the_settings_where_the_shader_reads_them() {
    let chain = "exposure stops=3 | white-balance from=3200K | output-transform display=HLG rendering=plain";
    let subject = Subject::chain(chain, &graph::Original::SceneRows);
    let plan = Plan::new(&subject.elaborated, Level::None);
    for (pass, step) in assemble(&plan, FLOAT_EDGE, FLOAT_EDGE).expect("it assembles").passes.iter().zip(plan.steps()) {
        let module = check(&pass.wgsl, &pass.lines).expect("it assembled");
        let settings = reflected(&module, "Settings");
        let head: Vec<_> =
            settings.iter().map(|(name, offset, kind)| (name.as_str(), *offset, kind.as_str())).collect();
        let wanted = [
            ("pixels", 0, "u32"),
            ("source_scale", 4, "f32"),
            ("source_offset", 8, "f32"),
            ("result_scale", 12, "f32"),
            ("result_offset", 16, "f32"),
        ];
        assert_eq!(head[..5], wanted);
        let start = settings[5].1;
        let constants = step.point.derive(&step.takes).constants;
        for ((name, constant), (_, offset, _)) in constants.iter().zip(members(&constants)) {
            let at = start + offset;
            let float = |at: usize| f32::from_le_bytes(pass.settings[at..at + 4].try_into().expect("four bytes"));
            match constant {
                Constant::Scalar(value) | Constant::Break(value) => assert_eq!(float(at), *value as f32, "{name}"),
                Constant::Triple(values) => {
                    assert_eq!([0, 4, 8].map(|b| float(at + b)), values.map(|v| v as f32), "{name}")
                }
                // Column by column, each on sixteen bytes.
                Constant::Matrix(rows) => {
                    for (row, values) in rows.iter().enumerate() {
                        let found = [0, 16, 32].map(|column| float(at + column + 4 * row));
                        assert_eq!(found, values.map(|value| value as f32), "{name} row {row}");
                    }
                }
                Constant::TableLength(_) | Constant::TableStart => {}
            }
        }
    }
}

// ---- shader files ----

#[test]
fn every_shader_file_stands_on_its_own() {
    for folder in ["ops", "curves", "luts", "shared", "edges"] {
        for (file, text) in shaders(folder) {
            let mut sources = Sources::default();
            sources.take(&file, &text).unwrap_or_else(|error| panic!("{error}"));
            let (wgsl, lines) = sources.finish();
            check(&wgsl, &lines).unwrap_or_else(|error| panic!("{error}"));
        }
    }
}

#[test]
fn a_fault_names_its_file_and_line() {
    let mut sources = Sources::default();
    sources
        .take("ops/made_up.wgsl", "//!use shared/powers.wgsl\nfn op_made_up() {\n    let x = nothing;\n}\n")
        .expect("taken");
    let (wgsl, lines) = sources.finish();
    let error = check(&wgsl, &lines).expect_err("nothing is not defined");
    assert_eq!((error.file.as_str(), error.line), ("ops/made_up.wgsl", 3), "{error}");
    let missing = Sources::default().take("ops/made_up.wgsl", "//!use shared/none.wgsl\n").expect_err("no such file");
    assert!(missing.to_string().contains("shared/none.wgsl"));
}

#[test]
fn functions_of_shaders_are_named_for_what_they_are() {
    for (file, text) in shaders("ops") {
        let stem = file.trim_start_matches("ops/").trim_end_matches(".wgsl");
        for name in functions(&text) {
            // An operation with several modes has a function for each, named for operation and mode.
            let own = format!("op_{stem}");
            let mode = name.starts_with(&format!("{own}_"));
            assert!(name == own || mode || name.starts_with(&format!("{stem}_")), "{file}: {name}");
        }
    }
    let all: Vec<String> = ["ops", "curves", "luts", "shared", "edges"]
        .iter()
        .flat_map(|f| shaders(f))
        .flat_map(|(_, text)| functions(&text))
        .collect();
    let once: BTreeSet<_> = all.iter().collect();
    // Two results or two sources are never in one pass, so nothing else may share a name.
    assert_eq!(once.len(), all.len(), "a pass may hold any of these together");
    for step in subjects().iter().flat_map(steps) {
        let shader = step.point.shader();
        let kind = match shader.file.split_once('/') {
            Some(("ops", _)) => shader.function.starts_with("op_"),
            Some(("luts", _)) => shader.function.starts_with("lut_"),
            _ => ["_decode", "_encode", "_curve"].iter().any(|end| shader.function.ends_with(end)),
        };
        assert!(kind, "{}: {}", shader.file, shader.function);
        assert!(functions(shader.text).contains(&shader.function.to_string()), "{}: {}", shader.file, shader.function);
    }
}

fn functions(text: &str) -> Vec<String> {
    text.lines()
        .filter_map(|line| line.strip_prefix("fn ")?.split_once('('))
        .map(|(name, _)| name.to_string())
        .collect()
}

/// A logarithm or power of a negative number is no number, so they go through the guarded ones of
/// `shared/powers.wgsl`. Two to some power is always one; that none overflows is tried with hostile pixels.
#[test]
fn curves_and_operations_use_guarded_logarithms_alone() {
    for folder in ["ops", "curves", "luts"] {
        for (file, text) in shaders(folder) {
            for bare in ["pow", "log", "log2", "inverseSqrt", "bitcast"] {
                let calls = |start: char| {
                    text.contains(&format!("{start}{bare}(")) || text.contains(&format!("{start}{bare}<"))
                };
                assert!(!calls(' ') && !calls('('), "{file} calls {bare}");
            }
        }
    }
}

#[test]
fn every_shader_is_used_and_has_its_room() {
    let mut used: BTreeSet<&str> = subjects().iter().flat_map(steps).map(|step| step.point.shader().file).collect();
    // It has two inputs, and so is no step.
    used.insert(ops::Mix::default().shader().file);
    for folder in ["ops", "curves", "luts"] {
        for file in shaders(folder).keys() {
            assert!(used.contains(file.as_str()), "no operation or encoding uses shaders/{file}");
        }
    }
    for file in used.iter().filter_map(|file| file.strip_prefix("ops/")) {
        let room = root().join("crates/ops/src").join(file).with_extension("rs");
        assert!(room.is_file(), "{file} has no room {}", room.display());
    }
    for op in Op::all() {
        let room = op.id().replace('-', "_");
        assert!(root().join("crates/ops/src").join(&room).with_extension("rs").is_file(), "{} has no room", op.id());
    }
}

// ---- settings as data ----

#[test]
fn ids_are_one_and_the_same_everywhere() {
    let ids: BTreeSet<_> = Op::all().iter().map(Op::id).collect();
    assert_eq!(ids.len(), Op::all().len());
    for op in Op::all() {
        assert_eq!(json(&op)["operation"], op.id());
        assert_eq!(Op::named(op.id()), Some(op.clone()));
        assert!(op.id().bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'-'), "{}", op.id());
        assert!(op.version() >= 1 && op.summary().len() > 10, "{}", op.id());
        assert!(!op.summary().ends_with('.'), "{}: a summary is a line, not a sentence", op.id());
    }
}

fn json(op: &Op) -> Value {
    serde_json::to_value(op).expect("settings can be written")
}

fn every_field() -> Vec<(Op, &'static Field)> {
    Op::all().into_iter().flat_map(|op| op.fields().iter().map(move |field| (op.clone(), field))).collect()
}

#[test]
fn every_field_says_what_it_does_and_how_far_it_goes() {
    for (op, field) in every_field() {
        let name = format!("{} {}", op.id(), field.key);
        assert!(field.help.trim().len() > 15 && field.help.trim().ends_with('.'), "{name}: {:?}", field.help);
        let neutral: Option<f64> = op.get(field.key).and_then(|text| text.parse().ok());
        if let (Some((low, high)), Some(neutral)) = (field.soft, neutral) {
            assert!((low..=high).contains(&neutral), "{name}: {neutral} is outside the control");
        }
        if let (Some(soft), Some(hard)) = (field.soft, field.hard) {
            assert!(hard.0 <= soft.0 && soft.1 <= hard.1, "{name}: the control reaches what is refused");
        }
        if let Some((low, high)) = field.soft.or(field.hard) {
            assert!(low < high, "{name}");
        }
        let scale = field.control == Control::Scale;
        assert!(!scale || (field.soft.is_some() && field.hard.is_some()), "{name}: a scale has both ranges");
        assert!(!scale || field.ends.is_some(), "{name}: a scale names its ends");
        assert!(field.ends.is_none_or(|(low, high)| low != high && !low.is_empty() && !high.is_empty()), "{name}");
    }
}

/// Every operation with every setting of its cases.
fn every_setting() -> Vec<Op> {
    let texts = |op: &Op| cases::settings(op.id()).odd;
    let made = |op: &Op, text: &str| {
        let chain = format!("{} {text}", op.id());
        let document = graph::chain::parse(&chain).unwrap_or_else(|error| panic!("{chain}: {error}"));
        document.kit.values().next().expect("one operation").clone()
    };
    Op::all()
        .iter()
        .flat_map(|op| texts(op).into_iter().map(|text| made(op, &text)).collect::<Vec<_>>())
        .chain(Op::all())
        .collect()
}

#[test]
fn a_setting_printed_and_read_is_the_same() {
    for op in every_setting() {
        let mut again = Op::named(op.id()).expect("it is there");
        for field in op.fields() {
            let text = op.get(field.key).expect("a field can be printed");
            again.set(field.key, &text).unwrap_or_else(|error| panic!("{}: {error}", op.id()));
        }
        assert_eq!(again, op);
        assert!(again.set("no-such-key", "1").is_err() && again.get("no-such-key").is_none());
    }
}

#[test]
fn settings_survive_being_written_and_unknown_ones_are_refused() {
    for op in every_setting() {
        let text = serde_json::to_string(&op).expect("settings can be written");
        assert_eq!(serde_json::from_str::<Op>(&text).unwrap_or_else(|error| panic!("{text}: {error}")), op);
        let mut odd = json(&op);
        odd["nonsense"] = Value::from(1);
        assert!(serde_json::from_value::<Op>(odd).is_err(), "{text} with an unknown field");
    }
}

/// Numbers of every kind come back to the last bit: a project opened and saved changes no picture.
#[test]
fn numbers_survive_being_written_to_the_last_bit() {
    let mut random = tests::pixels::Random::new(11);
    for _ in 0..2000 {
        let stops = random.between(-24.0, 24.0);
        let op = Op::Exposure(ops::Exposure { stops });
        let text = serde_json::to_string(&op).expect("settings can be written");
        assert_eq!(serde_json::from_str::<Op>(&text).expect("they can be read"), op, "{text}");
        let mut typed = Op::Exposure(ops::Exposure::default());
        typed.set("stops", &op.get("stops").expect("it can be printed")).expect("it is in range");
        assert_eq!(typed, op);
    }
}

#[test]
fn what_is_out_of_range_is_refused_by_every_door() {
    for (op, field) in every_field() {
        let Some((low, high)) = field.hard else { continue };
        let name = format!("{} {}", op.id(), field.key);
        for end in [low, high] {
            let mut op = op.clone();
            op.set(field.key, &end.to_string()).unwrap_or_else(|error| panic!("{name}: {error}"));
            op.check().unwrap_or_else(|error| panic!("{name}: {error}"));
        }
        for beyond in [low - 1.0, high + 1.0] {
            let mut typed = op.clone();
            assert!(typed.set(field.key, &beyond.to_string()).is_err(), "{name}={beyond} was accepted");
            assert_eq!(typed, op, "{name}: a refused setting leaves the operation as it was");
            let whole = json(&op)[field.key].is_u64() || op.get(field.key).as_deref() == Some("") && beyond >= 0.0;
            let mut loaded = json(&op);
            loaded[field.key] =
                if whole && field.control != Control::Scale { Value::from(beyond as u64) } else { Value::from(beyond) };
            refuse_on_load(&name, loaded);
        }
        for odd in ["nan", "inf", "-inf", "much"] {
            assert!(op.clone().set(field.key, odd).is_err(), "{name}={odd} was accepted");
        }
    }
}

/// A value out of range must fail when the operation is checked and when a document that holds it is read.
fn refuse_on_load(name: &str, op: Value) {
    if let Ok(op) = serde_json::from_value::<Op>(op.clone()) {
        assert!(op.check().is_err(), "{name}: check lets {op:?} pass");
    }
    let document = serde_json::json!({ "schema_version": 1, "kit": { "the-one": op }, "candidates": {} });
    match Document::from_json(&document.to_string()) {
        Ok(_) => panic!("{name}: a document with {op} was read"),
        Err(DocumentError::Setting { member, source }) => {
            assert!(member == "the-one" && source.to_string().contains("outside"), "{name}: {source}");
        }
        Err(DocumentError::Json(_)) => {}
        Err(other) => panic!("{name}: {other}"),
    }
}
