//! The WGSL of a pass: what its steps need, the settings struct, one function a pixel, the entry point.

use ops::{Constants, Derived, Pointwise as _, Shader};
use plan::{Item, Pass};

use super::edge::Edge;
use super::imports::{ImportError, LineMap, Sources};
use super::layout::{HEAD, Member};
use super::{WORKGROUP, product, step_count};

/// Calls of a pass in order, with the files they need.
pub(super) struct Body {
    shaders: Vec<Shader>,
    uses_matrix: bool,
    lines: String,
}

/// The text of a pass.
pub(super) struct Text {
    pub(super) wgsl: String,
    pub(super) lines: LineMap,
}

/// Takes the constants of so many steps; gives them (mutated, if so wanted) with the start of their table.
type Derive<'a> = dyn FnMut(Derived, usize) -> (Constants, u32) + 'a;

/// How many pixels one thread works on.
pub fn group_of(result: Edge) -> u32 {
    result.group()
}

pub(super) fn body(pass: &Pass, slots: &mut Vec<Member>, derive: &mut Derive<'_>) -> Body {
    let mut body = Body { shaders: Vec::new(), uses_matrix: false, lines: String::new() };
    for instruction in &pass.instructions {
        write_item(&instruction.item, "    ", &mut body, slots, derive);
    }
    body
}

fn write_item(item: &Item, indent: &str, body: &mut Body, slots: &mut Vec<Member>, derive: &mut Derive<'_>) {
    let slot = slots.len();
    match item {
        Item::Nothing => {}
        Item::Point(step) => {
            let shader = step.point.shader();
            let (constants, table_start) = derive(step.point.derive(&step.takes), 1);
            slots.push(Member::Step { structure: shader.structure, constants, table_start });
            body.lines += &format!("{indent}rgb = {}(settings.n{slot}, rgb);\n", shader.function);
            body.shaders.push(shader);
        }
        Item::Matrix(factors) => {
            let (constants, table_start) = derive(product(factors), step_count(item));
            slots.push(Member::Step { structure: "Matrix", constants, table_start });
            body.lines += &format!("{indent}rgb = shared_matrix(settings.n{slot}, rgb);\n");
            body.uses_matrix = true;
        }
        Item::Scope { inside, active, .. } => {
            slots.push(Member::Active(*active));
            body.lines += &format!("{indent}if settings.n{slot} != 0u {{\n");
            let deeper = format!("{indent}    ");
            for item in inside {
                write_item(item, &deeper, body, slots, derive);
            }
            body.lines += &format!("{indent}}}\n");
        }
    }
}

pub(super) fn pass(body: &Body, slots: &[Member], source: Edge, result: Edge) -> Result<Text, ImportError> {
    let mut sources = Sources::default();
    sources.take_shared(source.source_file(), "the pass")?;
    sources.take_shared(result.result_file(), "the pass")?;
    if body.uses_matrix {
        sources.take_shared("shared/matrix.wgsl", "the pass")?;
    }
    for shader in &body.shaders {
        sources.take(shader.file, shader.text)?;
    }
    sources.write("assembled", &entry(body, slots, source, result));
    let (wgsl, lines) = sources.finish();
    Ok(Text { wgsl, lines })
}

fn entry(body: &Body, slots: &[Member], source: Edge, result: Edge) -> String {
    let mut members = HEAD.to_string();
    for (number, slot) in slots.iter().enumerate() {
        let kind = match slot {
            Member::Step { structure, .. } => structure,
            Member::Active(_) => "u32",
        };
        members += &format!("    @align(16) n{number}: {kind},\n");
    }
    let group = result.group();
    let (load, lines, finish, store) = (source.load(group), &body.lines, result.finish(), result.store());
    // Results may share words between the pixels of a group, so a thread writes a whole group. The
    // grid is two-dimensional only because one dimension ends at 65535 workgroups.
    format!(
        "\
// assembled
struct Settings {{
{members}}}

@group(0) @binding(0) var<uniform> settings: Settings;

fn shade(group: u32, lane: u32) -> vec4f {{
{load}    var rgb = rgba.rgb;
{lines}    rgba = vec4f(rgb, rgba.a);
{finish}    return rgba;
}}

@compute @workgroup_size({WORKGROUP})
fn main(@builtin(global_invocation_id) id: vec3u, @builtin(num_workgroups) groups: vec3u) {{
    let group = id.y * groups.x * {WORKGROUP}u + id.x;
    if group * {group}u >= settings.pixels {{
        return;
    }}
{store}}}
"
    )
}
