//! The WGSL of a pass: what its steps need, the settings struct, one function a pixel, the entry point.

use ops::{Constants, Derived, Operation as _, Pointwise as _, Shader};
use plan::{Item, Pass, Value, is_by_channel};

use super::edge::Edge;
use super::imports::{ImportError, LineMap, Sources};
use super::layout::{HEAD, Member, PLACE};
use super::{WORKGROUP, combined, step_count};

/// Calls of a pass in order, with the files they need.
pub(super) struct Body {
    shaders: Vec<Shader>,
    uses_affine: bool,
    pub(super) lines: String,
    /// The variables of the picture read and of the picture written.
    pub(super) reads: String,
    pub(super) writes: String,
}

impl Body {
    /// The files given and then those that the steps need.
    pub(super) fn sources<'a>(&self, files: impl IntoIterator<Item = &'a str>) -> Result<Sources, ImportError> {
        let mut sources = Sources::default();
        for file in files {
            sources.take_shared(file, "the pass")?;
        }
        if self.uses_affine {
            sources.take_shared("shared/affine.wgsl", "the pass")?;
        }
        for shader in &self.shaders {
            sources.take(shader.file, shader.text)?;
        }
        Ok(sources)
    }
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
    let (reads, writes) = (variable(pass.reads), variable(pass.writes));
    let mut body = Body { shaders: Vec::new(), uses_affine: false, lines: String::new(), reads, writes };
    for instruction in &pass.instructions {
        let made = variable(instruction.to);
        body.lines += &format!("    var {made} = {};\n", variable(instruction.from));
        let side = instruction.side.map(variable);
        Writer { body: &mut body, slots, derive, side }.item(&instruction.item, "    ", &made);
    }
    body
}

/// Every picture of a pass is a variable of its own, assigned by the instruction that makes it.
pub(super) fn variable(value: Value) -> String {
    format!("picture{}", value.0)
}

/// Writes the items of one instruction.
struct Writer<'a, 'b> {
    body: &'a mut Body,
    slots: &'a mut Vec<Member>,
    derive: &'a mut Derive<'b>,
    /// The variable of the picture that a mix lets in.
    side: Option<String>,
}

impl Writer<'_, '_> {
    fn items(&mut self, items: &[Item], indent: &str, name: &str) {
        items.iter().for_each(|item| self.item(item, indent, name));
    }

    /// Works on the variable `name`.
    fn item(&mut self, item: &Item, indent: &str, name: &str) {
        let slot = self.slots.len();
        match item {
            Item::Nothing => {}
            Item::Point(step) => {
                self.call(step.point.shader(), step.point.derive(&step.takes), indent, name, name);
            }
            Item::Affine(factors) => {
                let (constants, table_start) = (self.derive)(combined(factors), step_count(item));
                let by_channel = is_by_channel(factors);
                let (structure, function) =
                    if by_channel { ("Channels", "shared_channels") } else { ("Matrix", "shared_matrix") };
                self.slots.push(Member::Step { structure, constants, table_start });
                self.body.lines += &format!("{indent}{name} = {function}(settings.n{slot}, {name});\n");
                self.body.uses_affine = true;
            }
            Item::Scope { inside, active, .. } => self.while_active(*active, indent, |writer, deeper| {
                writer.items(inside, deeper, name);
            }),
            Item::Mix { mix, main, side, leave, .. } => {
                self.while_active(!mix.is_neutral(), indent, |writer, deeper| {
                    let beside = format!("{name}_side");
                    let from = writer.side.clone().unwrap_or_else(|| name.to_string());
                    writer.body.lines += &format!("{deeper}var {beside} = {from};\n");
                    writer.items(main, deeper, name);
                    writer.items(side, deeper, &beside);
                    writer.call(mix.shader(), mix.derive(), deeper, name, &format!("{name}, {beside}"));
                    writer.items(leave, deeper, name);
                })
            }
        }
    }

    /// One call of a shader's function with its constants in the next slot.
    fn call(&mut self, shader: Shader, derived: Derived, indent: &str, target: &str, arguments: &str) {
        let slot = self.slots.len();
        let (constants, table_start) = (self.derive)(derived, 1);
        self.slots.push(Member::Step { structure: shader.structure, constants, table_start });
        self.body.lines += &format!("{indent}{target} = {}(settings.n{slot}, {arguments});\n", shader.function);
        self.body.shaders.push(shader);
    }

    /// What is skipped while a flag among the settings says so.
    fn while_active(&mut self, active: bool, indent: &str, inside: impl FnOnce(&mut Self, &str)) {
        let slot = self.slots.len();
        self.slots.push(Member::Active(active));
        self.body.lines += &format!("{indent}if settings.n{slot} != 0u {{\n");
        inside(self, &format!("{indent}    "));
        self.body.lines += &format!("{indent}}}\n");
    }
}

pub(super) fn pass(body: &Body, slots: &[Member], source: Edge, result: Edge) -> Result<Text, ImportError> {
    let edges = [source.source_file(), result.result_file()];
    let mut sources = body.sources(edges.into_iter().chain(result.dither_file()))?;
    sources.write("assembled", &entry(body, slots, source, result));
    let (wgsl, lines) = sources.finish();
    Ok(Text { wgsl, lines })
}

/// Lines that declare the constants and flags of a body.
pub(super) fn slot_members(slots: &[Member]) -> String {
    let kind = |slot: &Member| match slot {
        Member::Step { structure, .. } => *structure,
        Member::Active(_) => "u32",
    };
    slots.iter().enumerate().map(|(number, slot)| format!("    @align(16) n{number}: {},\n", kind(slot))).collect()
}

fn entry(body: &Body, slots: &[Member], source: Edge, result: Edge) -> String {
    let mut members = HEAD.to_string();
    if result.dither().is_some() {
        members += PLACE;
    }
    members += &slot_members(slots);
    let Body { lines, writes, .. } = body;
    let work = format!("{lines}    rgba = vec4f({writes}, rgba.a);\n");
    whole(&members, &body.reads, &work, source, result)
}

/// The settings struct, the function of a pixel and the entry point. `work` makes `rgba` of the variable `reads`.
pub(super) fn whole(members: &str, reads: &str, work: &str, source: Edge, result: Edge) -> String {
    let group = result.group();
    let (load, finish, store) = (source.load(group), result.finish(), result.store());
    // Results may share words between the pixels of a group, so a thread writes a whole group. The
    // grid is two-dimensional only because one dimension ends at 65535 workgroups.
    format!(
        "\
// assembled
struct Settings {{
{members}}}

@group(0) @binding(0) var<uniform> settings: Settings;

fn shade(group: u32, lane: u32) -> vec4f {{
{load}    let {reads} = rgba.rgb;
{work}{finish}    return rgba;
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
