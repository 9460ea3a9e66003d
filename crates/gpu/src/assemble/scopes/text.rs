//! The WGSL of a counting kernel: how a pixel is seen, and the walk over pixels that counts it for every trace.

use measure::scopes::{Axis, WaveformOf};
use plan::Value;

use super::super::imports::{ImportError, LineMap};
use super::super::layout::{HEAD, Member};
use super::super::text::{Body, slot_members, variable};
use super::super::{Edge, WORKGROUP};
use super::{AREA_COLUMNS, Counted, Kernel, Tiles, Trace};

/// What a trace adds to its kernel.
#[derive(Default)]
struct Lines {
    members: String,
    begin: String,
    each: String,
    end: String,
    give: String,
}

impl Kernel<'_> {
    pub(super) fn text(&self, body: &Body, slots: &[Member], light: Value) -> Result<(String, LineMap), ImportError> {
        let files = self.counted.iter().map(|counted| counted.trace.file());
        let mut sources = body.sources([self.source.source_file()].into_iter().chain(files))?;
        sources.write("assembled", &self.entry(body, slots, light));
        Ok(sources.finish())
    }

    fn entry(&self, body: &Body, slots: &[Member], light: Value) -> String {
        let mut lines = Lines::default();
        for (number, counted) in self.counted.iter().enumerate() {
            lines.trace(number, counted);
        }
        let (over, walk) = match self.tiles {
            Tiles::Columns { .. } => ("    @align(16) over: Columns,\n", columns(&lines)),
            Tiles::Area { .. } => ("    @align(16) walk: u32,\n", area(&lines)),
        };
        let code = match self.counted.iter().any(|counted| counted.by_code) {
            true => format!("vec3i(round({} * settings.result_scale + settings.result_offset))", body.writes),
            false => "vec3i(0)".to_string(),
        };
        let load = Edge::load(self.source, 1);
        let (members, slots, light) = (lines.members, slot_members(slots), variable(light));
        let Body { lines: work, reads, writes, .. } = body;
        format!(
            "\
// assembled
struct Settings {{
{HEAD}    @align(16) piece: Piece,
{over}{members}{slots}}}

@group(0) @binding(0) var<uniform> settings: Settings;

struct Seen {{
    signal: vec3f,
    light: vec3f,
    code: vec3i,
}}

fn see(group: u32) -> Seen {{
{load}    let {reads} = rgba.rgb;
{work}    return Seen({writes}, {light}, {code});
}}

@compute @workgroup_size({WORKGROUP})
fn main(@builtin(local_invocation_index) thread: u32, @builtin(workgroup_id) tile: vec3u) {{
    empty_held(thread, {WORKGROUP}u);
    workgroupBarrier();
{walk}}}
"
        )
    }
}

/// A thread walks down a column of pixels; the columns of the workgroup lie beside each other, walks below each other.
fn columns(lines: &Lines) -> String {
    let Lines { begin, each, end, give, .. } = lines;
    format!(
        "\
    let over = settings.over;
    let piece = settings.piece;
    let first = tile.x * over.group;
    let past = min(first + over.group, over.columns);
    let left = max(region_column(over, first), piece.column);
    let right = max(min(region_column(over, past), piece.column + piece.width), left);
    let top = tile.y * over.band;
    let bottom = min(top + over.band, piece.height);
    let width = right - left;
    let walks = width * ((bottom - top + over.walk - 1u) / over.walk);
    for (var item = thread; item < walks; item += {WORKGROUP}u) {{
        let x = left + item % width;
        let column = x * over.columns / over.region;
        let y = top + item / width * over.walk;
        var pixel = (piece.top + y) * piece.stride + piece.left + x - piece.column;
{begin}        for (var row = y; row < min(y + over.walk, bottom); row++) {{
            let seen = see(pixel);
            pixel += piece.stride;
{each}        }}
{end}    }}
    workgroupBarrier();
{give}"
    )
}

/// A thread walks down a column of pixels in an area.
fn area(lines: &Lines) -> String {
    let Lines { begin, each, end, give, .. } = lines;
    let rows = WORKGROUP / AREA_COLUMNS;
    format!(
        "\
    let piece = settings.piece;
    let x = tile.x * {AREA_COLUMNS}u + thread % {AREA_COLUMNS}u;
    let y = (tile.y * {rows}u + thread / {AREA_COLUMNS}u) * settings.walk;
    if x < piece.width {{
        var pixel = (piece.top + y) * piece.stride + piece.left + x;
{begin}        for (var row = y; row < min(y + settings.walk, piece.height); row++) {{
            let seen = see(pixel);
            pixel += piece.stride;
{each}        }}
{end}    }}
    workgroupBarrier();
{give}"
    )
}

impl Lines {
    fn trace(&mut self, number: usize, counted: &Counted<'_>) {
        let Counted { trace, by_code, .. } = counted;
        let own = format!("settings.s{number}");
        let structure = match trace {
            Trace::Waveform(scope) => {
                let values = match (scope.of(), by_code) {
                    (WaveformOf::Channels, _) => channels(scope.axis(), *by_code),
                    (WaveformOf::Luma(_), true) => vec![format!("waveform_code_luma({own}, seen.code)")],
                    (WaveformOf::Luma(_), false) => {
                        vec![format!("waveform_luma({own}, seen.{})", picture(scope.axis()))]
                    }
                };
                for (plane, value) in values.iter().enumerate() {
                    let slot = slot(&own, scope.axis(), *by_code, value);
                    let at = format!("waveform_at({own}, over, {plane}u, {slot}, column)");
                    self.run(&format!("run{number}_{plane}"), &at);
                }
                self.give += &format!("    give_waveform(thread, {WORKGROUP}u, {own}, over, first);\n");
                "Waveform"
            }
            Trace::Histogram(scope) => {
                for (channel, value) in channels(&scope.axis, *by_code).iter().enumerate() {
                    let slot = slot(&own, &scope.axis, *by_code, value);
                    self.run(&format!("run{number}_{channel}"), &format!("histogram_at({own}, {channel}u, {slot})"));
                }
                self.give += &format!("    give_histogram(thread, {WORKGROUP}u, {own});\n");
                "Histogram"
            }
            Trace::Vectorscope(_) if *by_code => {
                self.cell_run(number, &format!("vectorscope_code_cell({own}, seen.code)"));
                "Vectorscope"
            }
            Trace::Vectorscope(_) => {
                self.cell_run(number, &format!("vectorscope_cell({own}, seen.signal)"));
                "Vectorscope"
            }
            Trace::Chromaticity(_) => {
                self.cell_run(number, &format!("chromaticity_cell({own}, seen.light)"));
                "Chromaticity"
            }
        };
        self.members += &format!("    @align(16) s{number}: {structure},\n");
    }

    fn run(&mut self, name: &str, at: &str) {
        self.begin += &format!("        var {name}: Run;\n");
        self.each += &format!("            {name} = go_on({name}, {at});\n");
        self.end += &format!("        end_run({name});\n");
    }

    fn cell_run(&mut self, number: usize, cell: &str) {
        let name = format!("run{number}");
        self.begin += &format!("        var {name}: CellRun;\n");
        self.each += &format!("            {name} = go_on_in_plane({name}, {cell});\n");
        self.end += &format!("        end_cell_run({name});\n");
        self.give += &format!("    give_plane(thread, {WORKGROUP}u, settings.s{number}.plane);\n");
    }
}

/// What an axis counts of a pixel that is seen.
fn picture(axis: &Axis) -> &'static str {
    if axis.is_of_light() { "light" } else { "signal" }
}

fn channels(axis: &Axis, by_code: bool) -> Vec<String> {
    let of = if by_code { "code" } else { picture(axis) };
    ["x", "y", "z"].map(|channel| format!("seen.{of}.{channel}")).to_vec()
}

fn slot(own: &str, axis: &Axis, by_code: bool, value: &str) -> String {
    let function = match (by_code, axis.is_of_light()) {
        (true, _) => "slot_of_code",
        (false, true) => "slot_of_light",
        (false, false) => "slot_of",
    };
    format!("{function}({own}.axis, {value})")
}
