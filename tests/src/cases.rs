//! What every operation, every encoding and every display is tried with.
//!
//! Soft and hard ends of numeric settings come out of the registry; what stands here by hand are the
//! odd values, and for every operation the chain that brings pixels to it.

use colour::lut::{Lut, LutKind};
use colour::{Encoding, transfer::Form};
use graph::{Elaborated, Node, Original, Value, Work, chain, elaborate};
use ops::{
    Book, CodeToLight, Control, Curve, Display, HlgBlack, HlgLight, LightToCode, Op, Point, Signal, Step,
    primaries_step,
};

/// Something to run pixels through.
#[derive(Debug, Clone)]
pub struct Subject {
    /// The chain, or what the step is.
    pub name: String,
    /// What it means.
    pub elaborated: Elaborated,
}

impl Subject {
    /// A chain for an original.
    ///
    /// # Panics
    /// A chain that cannot be read or has no meaning.
    pub fn chain(text: &str, original: &Original) -> Self {
        let document = chain::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"));
        let wiring = &document.candidates[chain::CANDIDATE];
        let elaborated =
            elaborate(wiring, &document.kit, original, None, &book()).unwrap_or_else(|error| panic!("{text}: {error}"));
        let name = match original {
            Original::Encoded(encoding) => format!("[{}] {text}", encoding.name),
            Original::SceneRows | Original::Unknown => text.to_string(),
        };
        Self { name, elaborated }
    }

    /// The share of its pixels that may keep the proof's bound alone; see `tolerance::Standard::with_steep`.
    pub fn steep(&self) -> f64 {
        if self.name.contains("input-transform rendering=aces-2.0") {
            // Light comes back that the display had clipped: hundreds in one channel beside next to nothing in another.
            0.005
        } else if self.name.contains("rendering=aces-2.0") && self.name.contains("limit=BT.2020") {
            // Cyan on the edge of BT.2020: a red of 0.2 nits beside 240 of green and blue is right to a millionth of them, which
            // is a 12-bit code of PQ. One such pixel of 4938 is seen.
            0.0003
        } else {
            0.0
        }
    }

    /// One step alone.
    pub fn step(step: Step) -> Self {
        use ops::Pointwise as _;
        let (original, gives) = (step.takes.clone(), step.gives.clone());
        let name = format!("{}, {}", step.point.describe(), original);
        let node = Node {
            member: "step".to_string(),
            operation: "step",
            input: Value(0),
            side: None,
            takes: original.clone(),
            gives: gives.clone(),
            made: graph::Made::AsOriginal,
            work: Work::Steps(vec![step]),
        };
        let range = colour::CodeRange::Full;
        let elaborated = Elaborated {
            original,
            original_range: range,
            nodes: vec![node],
            result: Value(1),
            result_signal: gives,
            result_range: range,
            made: graph::Made::AsOriginal,
            warnings: Vec::new(),
        };
        Self { name, elaborated }
    }
}

/// An encoding that only a user's file describes, by a logarithm to base ten.
const LOG_FILE: &str = r#"
name = "Night-Log"
primaries = { red = [0.72, 0.28], green = [0.17, 0.83], blue = [0.11, -0.02], white = [0.3127, 0.3290] }
[log]
base = 10.0
log_side_slope = 0.25
log_side_offset = 0.4
lin_side_slope = 5.0
lin_side_offset = 0.05
lin_side_break = 0.01
"#;

/// An encoding that only a user's file describes, by a table.
const TABLE_FILE: &str = r#"
name = "Night-Table"
primaries = "BT.2020"
[table]
codes = [0.0, 0.1, 0.3, 0.55, 0.8, 1.0]
linear = [-0.01, 0.0, 0.05, 0.4, 3.0, 12.0]
"#;

/// The names of the two encodings that come from files.
const FILE_NAMES: [&str; 2] = ["Night-Log", "Night-Table"];

/// LUTs by the names that chains of the cases use: a curve a channel, a look on a small grid, and a grid with a wide
/// domain, a bound of its own for each channel, and numbers of both signs.
///
/// # Panics
/// A LUT that does not hold.
pub fn luts() -> Vec<(&'static str, Lut)> {
    let curves = |[r, g, b]: [f64; 3]| [r.sqrt() * 0.9, g, 0.05 + b * b];
    let look = |[r, g, b]: [f64; 3]| [0.9 * r + 0.1 * g * b, g * g * (1.2 - 0.3 * r), 0.02 + b.powf(0.8)];
    let wide = |[r, g, b]: [f64; 3]| [1.5 * r - 0.6 * g * b, (3.0 * g).sin() - 0.2 * r, 0.8 * b + 0.3 * r * r - 0.1];
    let of = |kind, size, low, high, function: &dyn Fn([f64; 3]) -> [f64; 3]| Lut::of(kind, size, low, high, function);
    [
        ("curves.cube", of(LutKind::OneD, 17, [0.0; 3], [1.0; 3], &curves)),
        ("look.cube", of(LutKind::ThreeD, 9, [0.0; 3], [1.0; 3], &look)),
        ("wide.cube", of(LutKind::ThreeD, 5, [-0.5, -0.25, 0.1], [1.5, 1.25, 2.0], &wide)),
        ("wide-curves.cube", of(LutKind::OneD, 6, [-0.5, -0.25, 0.1], [1.5, 1.25, 2.0], &|rgb| rgb.map(f64::cos))),
    ]
    .into_iter()
    .map(|(name, lut)| (name, lut.expect("the LUT holds")))
    .collect()
}

/// The built-in encodings and two from files, and [`luts`].
///
/// # Panics
/// An encoding file that cannot be read.
pub fn book() -> Book {
    let mut book = Book::default();
    for (text, file) in [(LOG_FILE, "night_log.toml"), (TABLE_FILE, "night_table.toml")] {
        book.add(Encoding::from_toml(text, file).expect("the encoding file holds"));
    }
    for (name, lut) in luts() {
        book.add_lut(name, lut);
    }
    book
}

/// Every encoding there is, LogC3 at its lowest, base and highest exposure index, and two from files.
///
/// # Panics
/// An encoding that is listed but not found.
pub fn encodings() -> Vec<Encoding> {
    let book = book();
    let named = |name: &str, ei| book.find(name, ei).unwrap_or_else(|error| panic!("{error}"));
    let mut encodings: Vec<_> = Encoding::ids().iter().chain(&FILE_NAMES).map(|id| named(id, None)).collect();
    encodings.extend([160, 400, 1600].map(|ei| named("LogC3", Some(ei))));
    encodings
}

/// What brings pixels to an operation, and its settings by hand besides the ends of its scales.
pub struct Settings {
    /// Operations before it, with the bar.
    pub before: &'static str,
    /// Settings as text; the default settings and the ends of every scale are tried without being listed.
    pub odd: Vec<String>,
}

/// The settings an operation is tried with. One that is not named here is tried with the ends of its scales; where these
/// do not bring out what it does, `mutation.rs` says so.
pub fn settings(id: &str) -> Settings {
    let texts = |texts: &[&str]| texts.iter().map(ToString::to_string).collect();
    let (before, odd) = match id {
        "exposure" => ("", texts(&["stops=0.3333", "stops=-1", "stops=1e-7"])),
        "white-balance" => {
            let lights =
                ["2000K", "3200K", "3200K+0.02duv", "9000K", "25000K-0.01duv", "0.44,0.41", "A", "FL2", "\"D50\""];
            let mut odd: Vec<String> = lights.iter().map(|light| format!("from={light}")).collect();
            let methods = colour::Adaptation::ALL.map(|method| format!("from=2800K method=\"{}\"", method.name()));
            odd.extend(methods);
            odd.extend(texts(&["from=3200K degree=0", "from=3200K degree=0.37", "from=A to=9000K", "to=2000K"]));
            ("", odd)
        }
        "flare" => ("", texts(&["red=3 blue=-1", "all=2.5 green=0.5", "red=2 green=2 blue=2 all=-2"])),
        "printer-points" => {
            let odd =
                ["red=1", "red=2 green=-1 blue=0.5 all=4", "all=7 points_a_stop=7", "red=3 green=3 blue=3 all=-3"];
            ("", texts(&odd))
        }
        "channel-gain" => ("", texts(&["red=1.25 blue=0.5", "green=0.8", "red=1.9 green=1 blue=1.4"])),
        "channel-offset" => ("", texts(&["red=0.02 blue=-0.031", "green=1e-4", "red=0.05 green=0.05 blue=0.05"])),
        "light-shift" => ("", texts(&["mired=-45 duv=0.003", "mired=0.5", "duv=-0.0011", "mired=134"])),
        "taper-balance" => {
            let odd = [
                "mired=60",
                "mired=-80 duv=0.004 centre=3 width=1",
                "duv=-0.01 centre=0 width=6",
                "mired=40 centre=8 width=0.5",
                "mired=150 duv=0.02 centre=-8 width=12",
                "mired=-100 centre=16 width=0.1",
            ];
            ("", texts(&odd))
        }
        "contrast" => {
            let lines = texts(&["slope=1.25", "slope=2 about=-2", "slope=0.5 about=1", "slope=1 about=3"]);
            let per_channel = lines.iter().map(|line| format!("{line} per_channel=true"));
            ("", lines.iter().cloned().chain(per_channel).collect())
        }
        "saturation" => ("", texts(&["factor=1.25", "factor=0.5", "factor=1.0001"])),
        "cdl" => {
            // A published vector of the standard's own kind, a strong one, and neutral numbers.
            let mild = "slope=1,1,0.9 offset=-0.03,-0.02,0 power=1.25,1,1 saturation=1.7";
            let strong = "slope=1.35,1.1,0.071 offset=0.05,-0.23,0.11 power=0.93,0.81,1.27 saturation=1.23";
            let numbers = [mild, strong, "power=0.8", ""];
            let clamped = numbers.map(|numbers| format!("{numbers} clamp=true"));
            ("", numbers.map(str::to_string).into_iter().chain(clamped).collect())
        }
        "shoulder" => {
            let mut odd = texts(&["knee=0", "strength=0.5", "knee=-2 strength=2", "knee=4 strength=0.1"]);
            // The ends of the knee show nothing without strength.
            odd.extend([-8, 12].map(|knee| format!("knee={knee} strength=1")));
            ("", odd)
        }
        "gamut-compress" => {
            let numbers =
                ["", "power=1", "power=2.5 limit=1.2 threshold=0.7", "limit=1.02,1.3,2 threshold=0.5,0.9,0.1"];
            ("", numbers.iter().flat_map(|numbers| [numbers.to_string(), format!("{numbers} inverse=true")]).collect())
        }
        "input-transform" => {
            let mut odd: Vec<String> = Encoding::ids().iter().map(|id| format!("encoding={id}")).collect();
            odd.extend(FILE_NAMES.map(|name| format!("encoding={name}")));
            odd.extend([160, 1600].map(|ei| format!("encoding=LogC3 ei={ei}")));
            odd.push("encoding=V-Log primaries=BT.2020".to_string());
            // A finished picture of each kind of display, and its peak, limit and hundred told.
            let pictures = [
                "BT.1886",
                "P3-D65 peak=48",
                "PQ",
                "PQ peak=4000 limit=BT.2020",
                "PQ peak=108 hundred=48",
                "HLG",
                "BT.2020 limit=BT.709",
            ];
            odd.extend(pictures.map(|picture| format!("rendering=aces-2.0 encoding={picture}")));
            ("", odd)
        }
        "encode" => {
            let scene = encodings().into_iter().filter(|e| e.reference == colour::Reference::Scene);
            let mut odd: Vec<String> = scene
                .map(|e| match e.exposure_index {
                    Some(ei) => format!("encoding={} ei={ei}", e.name),
                    None => format!("encoding={}", e.name),
                })
                .collect();
            odd.push("encoding=S-Log3 primaries=P3-D65".to_string());
            ("", odd)
        }
        "output-transform" => {
            let displays = Display::ALL.map(Display::name);
            let mut odd: Vec<String> = displays.iter().map(|name| format!("display={name}")).collect();
            odd.extend(displays.map(|name| format!("display={name} peak=600 black=0.05")));
            odd.extend(texts(&["display=HLG peak=203", "display=HLG peak=4000", "display=PQ peak=1000"]));
            odd.iter_mut().for_each(|text| text.push_str(" rendering=plain"));
            odd.extend(displays.map(|name| format!("rendering=aces-2.0 display={name}")));
            // A raised black, a dim display, the peaks and limits of mastering, a cinema.
            let aces = [
                "peak=250 black=0.05",
                "display=P3-D65 peak=48 limit=BT.709",
                "display=PQ peak=108 hundred=48",
                "display=PQ peak=500 limit=BT.2020",
                "display=PQ peak=4000 limit=BT.2020",
                "display=PQ peak=10000 limit=BT.709",
                "display=HLG peak=600 limit=BT.2020",
            ];
            odd.extend(aces.map(|rest| format!("rendering=aces-2.0 {rest}")));
            // A lower peak with and without a raised black, one so low that all is bent, a black so high that its lift
            // fades otherwise, one that no light passes, and the ends of what it was mastered for.
            odd.extend(displays.map(|name| format!("rendering=bt2390 display={name} peak=80 black=0.05")));
            odd.extend(["BT.1886", "PQ", "HLG"].map(|name| format!("rendering=bt2390 display={name}")));
            odd.extend(
                [
                    "peak=2",
                    "display=PQ peak=100 black=10",
                    "display=PQ peak=600 black=5 mastered=1000",
                    "display=PQ peak=1000 mastered=400",
                    "mastered=100 black=0.1",
                    "mastered=10000",
                ]
                .map(|rest| format!("rendering=bt2390 {rest}")),
            );
            ("", odd)
        }
        "soft-clip" => (
            "output-transform rendering=plain | ",
            texts(&["high=0.8 low=0.1", "high=0.95", "low=0.02", "high=0.5 low=0.5"]),
        ),
        // The side picture is the original: mid grey two stops down.
        "mix" => ("exposure stops=2 | ", texts(&["share=0.37", "share=1e-7", "share=0.5 domain=log"])),
        "lut" => {
            let mut odd = texts(&[
                "file=look.cube from=LogC3",
                "file=look.cube from=ACEScct to=ACEScct",
                "file=look.cube from=S-Log3 to=BT.1886",
                "file=look.cube from=Night-Log to=P3-D65 interpolation=trilinear",
                "file=look.cube to=PQ",
                "file=curves.cube from=ACEScct",
                "file=curves.cube from=V-Log to=sRGB",
            ]);
            for (name, _) in luts() {
                odd.extend(["", " interpolation=trilinear"].map(|rest| format!("file={name}{rest}")));
            }
            ("", odd)
        }
        _ => ("", Vec::new()),
    };
    Settings { before, odd }
}

/// Every operation with every setting it is tried with, the pixels being scene light (or code, where it reads code).
pub fn operations() -> Vec<Subject> {
    Op::all().iter().flat_map(of_operation).collect()
}

/// One operation with every setting it is tried with.
pub fn of_operation(op: &Op) -> Vec<Subject> {
    let Settings { before, mut odd } = settings(op.id());
    for field in op.fields().iter().filter(|field| field.control == Control::Scale) {
        for (low, high) in field.soft.into_iter().chain(field.hard) {
            odd.extend([low, high].map(|end| format!("{}={end}", field.key)));
        }
    }
    if !matches!(op, Op::InputTransform(_) | Op::Encode(_) | Op::Lut(_)) {
        // These must be told an encoding or a file.
        odd.insert(0, String::new());
    }
    let chains = odd.iter().map(|text| format!("{before}{} {text}", op.id()));
    chains.map(|chain| Subject::chain(chain.trim(), &Original::SceneRows)).collect()
}

/// Every conversion that elaboration can insert: each encoding decoded and encoded, as published and exact, its
/// change of primaries both ways, and HLG's display light at its usual peaks.
pub fn conversions() -> Vec<Subject> {
    let mut steps = Vec::new();
    for encoding in encodings() {
        let code = Signal::code(&encoding);
        let light = code.linear();
        let curve = Curve { transfer: encoding.transfer.clone(), ..code.curve.clone() };
        for form in [Form::Published, Form::Exact] {
            let decode = CodeToLight { curve: curve.clone(), form };
            let encode = LightToCode { curve: curve.clone(), form };
            steps.push(Step { point: decode.into(), takes: code.clone(), gives: light.clone() });
            steps.push(Step { point: encode.into(), takes: light.clone(), gives: code.clone() });
        }
        steps.extend(primaries_step(&light, &Signal::scene()));
        steps.extend(primaries_step(&Signal::scene(), &light));
    }
    steps.extend(displays());
    steps.into_iter().map(Subject::step).collect()
}

/// Each display's curve both ways, with and without a raised black, and HLG's light.
fn displays() -> Vec<Step> {
    let mut steps = Vec::new();
    for display in Display::ALL {
        for black in [0.0, 0.05] {
            let text = format!("output-transform display={} black={black} rendering=plain", display.name());
            let code = Subject::chain(&text, &Original::SceneRows).elaborated.result_signal;
            let decode: Point = CodeToLight::exact(code.curve.clone()).into();
            let encode: Point = LightToCode::exact(code.curve.clone()).into();
            steps.push(Step { point: decode, takes: code.clone(), gives: code.linear() });
            steps.push(Step { point: encode, takes: code.linear(), gives: code });
        }
    }
    for (peak_nits, black_nits) in [(203.0, 0.0), (1000.0, 0.05), (4000.0, 0.0)] {
        let code = Display::Hlg.signal(peak_nits, black_nits);
        let light = code.linear();
        for point in [HlgLight::carried(peak_nits, black_nits), HlgLight::shown(peak_nits)] {
            steps.push(Step { point: point.into(), takes: light.clone(), gives: light.clone() });
        }
        let lift = HlgBlack { peak_nits, black_nits };
        steps.push(Step { point: lift.into(), takes: code.clone(), gives: code });
    }
    steps
}

/// Chains of several operations over several kinds of original.
///
/// # Panics
/// A chain that has no meaning.
pub fn chains() -> Vec<Subject> {
    let texts = [
        "input-transform encoding=LogC3 | exposure stops=0.5 | white-balance from=3200K \
         | output-transform rendering=plain",
        "input-transform encoding=S-Log3 | exposure stops=-1.3 domain=camera-linear | white-balance from=A domain=log \
         | output-transform display=sRGB rendering=plain",
        "input-transform encoding=LogC4 | white-balance from=5000K domain=camera-linear | white-balance domain=camera \
         | exposure stops=0.25 domain=camera-linear | encode encoding=ACEScct",
        "input-transform encoding=C-Log3 | exposure domain=camera | white-balance domain=log | exposure domain=log \
         | output-transform display=PQ rendering=plain",
        "input-transform encoding=V-Log | exposure stops=1 | exposure stops=-1 \
         | output-transform display=P3-D65 rendering=plain \
         | exposure stops=0.1 domain=display",
        "input-transform encoding=C-Log2 | exposure stops=0.2 domain=camera | exposure stops=0.1 domain=camera \
         | output-transform display=HLG rendering=plain",
        "input-transform encoding=Apple-Log | exposure stops=0.2 domain=as-given bypass=true \
         | white-balance from=FL2 domain=log | encode encoding=F-Log2",
        "white-balance from=9000K method=CAT16 | exposure stops=2 domain=log | encode encoding=C-Log2",
        "exposure stops=1 domain=camera | exposure stops=-1 domain=camera",
        "input-transform encoding=LogC3 | flare all=2 blue=-0.5 | printer-points red=2 all=-3 | channel-gain red=0.8 blue=1.3 \
         | light-shift mired=-30 duv=0.002 | taper-balance mired=-40 centre=4 | output-transform rendering=plain",
        "input-transform encoding=S-Log3 | channel-offset red=-0.02 blue=0.03 | printer-points all=6 domain=log \
         | light-shift mired=20 domain=camera-linear | output-transform rendering=plain \
         | channel-gain red=1.1 blue=0.95 domain=display \
         | channel-offset green=-0.01 domain=display",
        "input-transform encoding=N-Log | printer-points green=-2 points_a_stop=7 | channel-offset blue=0.01 \
         | taper-balance mired=50 duv=-0.003 width=4 domain=camera-linear | encode encoding=ACEScct",
        "input-transform encoding=Apple-Log | printer-points blue=5 | encode encoding=C-Log2",
        "input-transform encoding=Printing-Density | printer-points red=1 all=-1 \
         | output-transform display=sRGB rendering=plain",
        "input-transform encoding=HLG | printer-points all=3 | encode encoding=ACEScct",
        "input-transform encoding=Night-Table | exposure stops=1 domain=camera-linear \
         | output-transform rendering=plain",
        "input-transform encoding=LogC3 | contrast slope=1.3 about=-0.5 | saturation factor=1.2 | shoulder strength=0.5 \
         | gamut-compress | output-transform display=sRGB rendering=plain",
        "input-transform encoding=S-Log3 | cdl power=1.1 offset=-0.02 | contrast slope=1.2 per_channel=true | cdl clamp=true \
         | contrast slope=0.8 per_channel=true domain=camera | output-transform display=P3-D65 rendering=plain",
        "gamut-compress | saturation factor=0.9 domain=camera-linear | shoulder knee=1 strength=1 domain=camera-linear",
        "input-transform encoding=LogC3 | exposure stops=0.3 | lut file=look.cube from=S-Log3 \
         | lut file=curves.cube from=S-Log3 interpolation=trilinear | lut file=wide.cube domain=camera | exposure stops=0.2 \
         | lut file=look.cube from=LogC3 to=BT.1886 | exposure stops=0.1 domain=display",
        "input-transform encoding=ACES2065-1 | lut file=look.cube from=LogC4 to=ACEScct | white-balance from=3200K \
         | output-transform rendering=plain | lut file=wide.cube from=BT.1886 | lut file=curves.cube",
        "lut file=look.cube domain=log | lut file=curves.cube domain=log to=sRGB",
        "lut file=nowhere.cube bypass=true",
        "",
        "exposure bypass=true",
    ];
    let mut chains: Vec<_> = texts.iter().map(|text| Subject::chain(text, &Original::SceneRows)).collect();
    for encoding in encodings() {
        let original = Original::Encoded(encoding);
        let text = "exposure stops=0.6 | white-balance from=3200K domain=log | exposure stops=-0.2 domain=camera";
        chains.push(Subject::chain(text, &original));
    }
    chains.push(Subject::chain("exposure stops=1 domain=as-given", &Original::Unknown));
    chains
}
