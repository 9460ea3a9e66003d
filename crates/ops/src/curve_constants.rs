//! The GPU's constants of every curve: the published figures brought into the few forms that WGSL has.
//!
//! The proof does not read this; it evaluates the published formula itself. Form and shader depend on
//! the kind of curve alone, never on its numbers.

use std::f64::consts::{LN_2, LOG2_10};

use colour::transfer::{
    Form, LogCurve, LogSegments, TableCurve, Transfer, aces, apple_log, bt709, canon, density, gamma, hlg, n_log, pq,
    srgb,
};

use crate::Constant::{self, Break, Scalar};
use crate::{Derived, Shader};

/// A break that is never reached: beyond every picture, finite in f32.
const NEVER: f64 = 1e30;

/// How far, relative, light decoded at the break of N-Log may fall short of it in f32: eight units in the last place.
const N_LOG_SHORT: f64 = 8.0 / 16_777_216.0;

type Named = (&'static str, Constant);

/// Shader and constants that decode.
pub(crate) fn decode(transfer: &Transfer, form: Form) -> (Shader, Derived) {
    let log = shader!("curves/log.wgsl", "LogDecode", "log_decode");
    let two_sided = shader!("curves/two_sided_log.wgsl", "TwoSidedDecode", "two_sided_decode");
    let power = shader!("curves/power.wgsl", "PowerDecode", "power_decode");
    let (shader, constants) = match transfer {
        Transfer::Log(curve) => (log, log_decode(curve)),
        Transfer::Density => (log, density_decode()),
        Transfer::CanonLog2 => (two_sided, canon_log2_decode()),
        Transfer::CanonLog3 => (two_sided, canon_log3_decode()),
        Transfer::AcesCc => (shader!("curves/acescc.wgsl", "AcesccDecode", "acescc_decode"), acescc_decode(form)),
        Transfer::NLog => (shader!("curves/cube_log.wgsl", "CubeLogDecode", "cube_log_decode"), n_log_decode()),
        Transfer::AppleLog => {
            (shader!("curves/square_log.wgsl", "SquareLogDecode", "square_log_decode"), apple_decode(form))
        }
        Transfer::Linear => (power, Power::LINEAR.decode()),
        Transfer::Gamma { exponent } => {
            (shader!("curves/gamma.wgsl", "GammaDecode", "gamma_decode"), vec![("exponent", Scalar(*exponent))])
        }
        Transfer::Srgb => (power, Power::SRGB.decode()),
        Transfer::Bt709Camera => (power, Power::BT709.decode()),
        Transfer::Bt1886 { peak_nits, black_nits } => {
            let bt1886 = shader!("curves/bt1886.wgsl", "Bt1886Decode", "bt1886_decode");
            (bt1886, bt1886_decode(*peak_nits, *black_nits))
        }
        Transfer::Pq => (shader!("curves/pq.wgsl", "PqDecode", "pq_decode"), pq_decode()),
        Transfer::Hlg => (shader!("curves/hlg.wgsl", "HlgDecode", "hlg_decode"), hlg_decode()),
        Transfer::Table(table) => return table_lookup(table, table.codes(), table.linear()),
    };
    (shader, Derived::new(constants))
}

/// Shader and constants that encode.
pub(crate) fn encode(transfer: &Transfer, form: Form) -> (Shader, Derived) {
    let log = shader!("curves/log.wgsl", "LogEncode", "log_encode");
    let two_sided = shader!("curves/two_sided_log.wgsl", "TwoSidedEncode", "two_sided_encode");
    let power = shader!("curves/power.wgsl", "PowerEncode", "power_encode");
    let (shader, constants) = match transfer {
        Transfer::Log(curve) => (log, log_encode(curve, form)),
        Transfer::Density => (log, density_encode()),
        Transfer::CanonLog2 => (two_sided, canon_log2_encode()),
        Transfer::CanonLog3 => (two_sided, canon_log3_encode(form)),
        Transfer::AcesCc => (shader!("curves/acescc.wgsl", "AcesccEncode", "acescc_encode"), acescc_encode(form)),
        Transfer::NLog => (shader!("curves/cube_log.wgsl", "CubeLogEncode", "cube_log_encode"), n_log_encode(form)),
        Transfer::AppleLog => {
            (shader!("curves/square_log.wgsl", "SquareLogEncode", "square_log_encode"), apple_encode(form))
        }
        Transfer::Linear => (power, Power::LINEAR.encode(Form::Published, NEVER)),
        Transfer::Gamma { exponent } => {
            (shader!("curves/gamma.wgsl", "GammaEncode", "gamma_encode"), vec![("exponent", Scalar(1.0 / exponent))])
        }
        Transfer::Srgb => (power, Power::SRGB.encode(form, srgb::LINEAR_BREAK)),
        Transfer::Bt709Camera => (power, Power::BT709.encode(form, bt709::LINEAR_BREAK)),
        Transfer::Bt1886 { peak_nits, black_nits } => {
            let bt1886 = shader!("curves/bt1886.wgsl", "Bt1886Encode", "bt1886_encode");
            (bt1886, bt1886_encode(*peak_nits, *black_nits))
        }
        Transfer::Pq => (shader!("curves/pq.wgsl", "PqEncode", "pq_encode"), pq_encode()),
        Transfer::Hlg => (shader!("curves/hlg.wgsl", "HlgEncode", "hlg_encode"), hlg_encode()),
        Transfer::Table(table) => return table_lookup(table, table.linear(), table.codes()),
    };
    (shader, Derived::new(constants))
}

fn table_lookup(table: &TableCurve, inputs: &[f64], outputs: &[f64]) -> (Shader, Derived) {
    let length = u32::try_from(table.codes().len()).unwrap_or(u32::MAX);
    let constants = vec![("start", Constant::TableStart), ("length", Constant::TableLength(length))];
    let derived = Derived { constants, table: [inputs, outputs].concat() };
    (shader!("curves/table.wgsl", "Table", "table_curve"), derived)
}

/// Decoding `y = c log_base(a x + b) + d` as `2^(y power + shift) + offset`.
fn antilog(s: &LogSegments) -> [Named; 3] {
    let power = s.base.log2() / s.c;
    [("power", Scalar(power)), ("shift", Scalar(-s.d * power - s.a.log2())), ("offset", Scalar(-s.b / s.a))]
}

fn log_decode(curve: &LogCurve) -> Vec<Named> {
    let s = &curve.decoder;
    let line = [("line_scale", Scalar(1.0 / s.e)), ("line_offset", Scalar(-s.f / s.e)), ("cut", Break(curve.code_cut))];
    antilog(s).into_iter().chain(line).collect()
}

fn log_encode(curve: &LogCurve, form: Form) -> Vec<Named> {
    let (s, cut, line_top) = match form {
        Form::Published => (&curve.encoder, curve.linear_cut, NEVER),
        // The logarithm of the decoder wherever it reaches; light in a gap has the code of the break.
        Form::Exact => (&curve.decoder, curve.decoder.antilog_part(curve.code_cut), curve.code_cut),
    };
    vec![
        ("scale", Scalar(s.a)),
        ("offset", Scalar(s.b)),
        ("slope", Scalar(s.c / s.base.log2())),
        ("shift", Scalar(s.d)),
        ("line_scale", Scalar(s.e)),
        ("line_offset", Scalar(s.f)),
        ("cut", Break(cut)),
        ("line_top", Break(line_top)),
    ]
}

/// Printing density as `y = c log10(a x + b) + d`, its tangent as the straight line.
fn density_curve() -> LogCurve {
    let slope = density::tangent_slope();
    let start = density::tangent_code();
    let segments = LogSegments {
        base: 10.0,
        a: 1.0 - density::BLACK,
        b: density::BLACK,
        c: density::CODES_PER_DECADE / 1023.0,
        d: density::WHITE_CODE / 1023.0,
        e: slope,
        f: start - density::TANGENT_LINEAR * slope,
    };
    LogCurve::new(segments, density::TANGENT_LINEAR, start)
}

fn density_decode() -> Vec<Named> {
    log_decode(&density_curve())
}

fn density_encode() -> Vec<Named> {
    log_encode(&density_curve(), Form::Published)
}

fn canon_log2_decode() -> Vec<Named> {
    let power = LOG2_10 / canon::LOG2_SLOPE;
    let shift = canon::LOG2_OFFSET * power;
    vec![
        ("power", Scalar(power)),
        ("high_shift", Scalar(-shift)),
        ("low_shift", Scalar(shift)),
        ("scale", Scalar(canon::WHITE_REFLECTANCE / canon::LOG2_GAIN)),
        // No straight piece: both cuts are at black.
        ("line_scale", Scalar(0.0)),
        ("line_offset", Scalar(0.0)),
        ("high_cut", Break(canon::LOG2_OFFSET)),
        ("low_cut", Break(canon::LOG2_OFFSET)),
    ]
}

fn canon_log2_encode() -> Vec<Named> {
    vec![
        ("scale", Scalar(canon::LOG2_GAIN / canon::WHITE_REFLECTANCE)),
        ("slope", Scalar(canon::LOG2_SLOPE / LOG2_10)),
        ("high_shift", Scalar(canon::LOG2_OFFSET)),
        ("low_shift", Scalar(canon::LOG2_OFFSET)),
        ("line_scale", Scalar(0.0)),
        ("line_offset", Scalar(canon::LOG2_OFFSET)),
        ("high_cut", Break(0.0)),
        ("low_cut", Break(0.0)),
    ]
}

fn canon_log3_decode() -> Vec<Named> {
    let power = LOG2_10 / canon::LOG3_SLOPE;
    let line = canon::WHITE_REFLECTANCE / canon::LOG3_LINEAR_SLOPE;
    vec![
        ("power", Scalar(power)),
        ("high_shift", Scalar(-canon::LOG3_UPPER_OFFSET * power)),
        ("low_shift", Scalar(canon::LOG3_LOWER_OFFSET * power)),
        ("scale", Scalar(canon::WHITE_REFLECTANCE / canon::LOG3_GAIN)),
        ("line_scale", Scalar(line)),
        ("line_offset", Scalar(-canon::LOG3_LINEAR_OFFSET * line)),
        ("high_cut", Break(canon::LOG3_UPPER_CODE_BREAK)),
        ("low_cut", Break(canon::LOG3_LOWER_CODE_BREAK)),
    ]
}

fn canon_log3_encode(form: Form) -> Vec<Named> {
    let line = canon::LOG3_LINEAR_SLOPE / canon::WHITE_REFLECTANCE;
    let published = canon::LOG3_LINEAR_BREAK * canon::WHITE_REFLECTANCE;
    let upper = |code: f64| {
        canon::WHITE_REFLECTANCE / canon::LOG3_GAIN
            * (10f64.powf((code - canon::LOG3_UPPER_OFFSET) / canon::LOG3_SLOPE) - 1.0)
    };
    let straight = |code: f64| (code - canon::LOG3_LINEAR_OFFSET) / line;
    // The pieces meet to 1e-8, so that there is no gap to speak of in f32.
    let (low_cut, high_cut) = match form {
        Form::Published => (-published, published),
        Form::Exact => (straight(canon::LOG3_LOWER_CODE_BREAK), upper(canon::LOG3_UPPER_CODE_BREAK)),
    };
    vec![
        ("scale", Scalar(canon::LOG3_GAIN / canon::WHITE_REFLECTANCE)),
        ("slope", Scalar(canon::LOG3_SLOPE / LOG2_10)),
        ("high_shift", Scalar(canon::LOG3_UPPER_OFFSET)),
        ("low_shift", Scalar(canon::LOG3_LOWER_OFFSET)),
        ("line_scale", Scalar(line)),
        ("line_offset", Scalar(canon::LOG3_LINEAR_OFFSET)),
        ("high_cut", Break(high_cut)),
        ("low_cut", Break(low_cut)),
    ]
}

fn acescc_decode(form: Form) -> Vec<Named> {
    let (lower_cut, ceiling) = match form {
        Form::Published => (-NEVER, aces::CC_LARGEST),
        Form::Exact => (aces::CC_CODE_OF_ZERO, NEVER),
    };
    vec![
        ("power", Scalar(aces::STOPS_PER_CODE)),
        ("shift", Scalar(-aces::OFFSET_STOPS)),
        ("half_floor", Scalar(aces::CC_LINEAR_OFFSET)),
        ("upper_cut", Break(aces::CC_CODE_BREAK)),
        ("lower_cut", Break(lower_cut)),
        ("line_scale", Scalar(aces::CC_TANGENT)),
        ("line_offset", Scalar(-aces::CC_CODE_OF_ZERO * aces::CC_TANGENT)),
        ("ceiling", Break(ceiling)),
    ]
}

fn acescc_encode(form: Form) -> Vec<Named> {
    let below_zero = match form {
        Form::Published => 0.0,
        Form::Exact => 1.0 / aces::CC_TANGENT,
    };
    vec![
        ("slope", Scalar(1.0 / aces::STOPS_PER_CODE)),
        ("shift", Scalar(aces::OFFSET_STOPS / aces::STOPS_PER_CODE)),
        ("half_floor", Scalar(aces::CC_LINEAR_OFFSET)),
        ("cut", Break(aces::CC_LINEAR_BREAK)),
        ("line_scale", Scalar(below_zero)),
        ("line_offset", Scalar(aces::CC_CODE_OF_ZERO)),
    ]
}

fn n_log_decode() -> Vec<Named> {
    let power = 1.0 / (n_log::C * LN_2);
    vec![
        ("power", Scalar(power)),
        ("shift", Scalar(-n_log::D * power)),
        ("cube_scale", Scalar(1.0 / n_log::A)),
        ("cube_offset", Scalar(-n_log::B)),
        ("cut", Break(n_log::CODE_BREAK)),
    ]
}

fn n_log_encode(form: Form) -> Vec<Named> {
    let cut = match form {
        Form::Published => n_log::LINEAR_BREAK,
        // The break is a code that 10-bit files hold (452). Light decoded from it in f32 may fall short of the break by
        // some units in the last place, and must not come back on the other side of the decoder's step.
        Form::Exact => ((n_log::CODE_BREAK - n_log::D) / n_log::C).exp() * (1.0 - N_LOG_SHORT),
    };
    vec![
        ("slope", Scalar(n_log::C * LN_2)),
        ("shift", Scalar(n_log::D)),
        ("cube_scale", Scalar(n_log::A)),
        ("cube_offset", Scalar(n_log::B)),
        ("cut", Break(cut)),
    ]
}

fn apple_decode(form: Form) -> Vec<Named> {
    let floor = if form == Form::Published { 0.0 } else { -NEVER };
    vec![
        ("power", Scalar(1.0 / apple_log::GAMMA)),
        ("shift", Scalar(-apple_log::DELTA / apple_log::GAMMA)),
        ("offset", Scalar(-apple_log::BETA)),
        ("square", Scalar(1.0 / apple_log::C)),
        ("start", Scalar(apple_log::R0)),
        ("cut", Break(apple_log::CODE_BREAK)),
        ("floor", Break(floor)),
    ]
}

fn apple_encode(form: Form) -> Vec<Named> {
    let (cut, floor) = match form {
        Form::Published => (apple_log::RT, apple_log::R0),
        Form::Exact => {
            (((apple_log::CODE_BREAK - apple_log::DELTA) / apple_log::GAMMA).exp2() - apple_log::BETA, -NEVER)
        }
    };
    vec![
        ("offset", Scalar(apple_log::BETA)),
        ("slope", Scalar(apple_log::GAMMA)),
        ("shift", Scalar(apple_log::DELTA)),
        ("square", Scalar(apple_log::C)),
        ("start", Scalar(apple_log::R0)),
        ("cut", Break(cut)),
        ("floor", Break(floor)),
    ]
}

/// `light = (scale |code| + offset)^exponent` above `cut` of code, `|code| / line` below it, with the code's sign.
struct Power {
    exponent: f64,
    scale: f64,
    offset: f64,
    line: f64,
    cut: f64,
}

impl Power {
    /// Code that is light already: all of it lies on the straight piece.
    const LINEAR: Self = Self { exponent: 1.0, scale: 1.0, offset: 0.0, line: 1.0, cut: NEVER };

    const SRGB: Self = Self {
        exponent: srgb::EXPONENT,
        scale: 1.0 / srgb::ALPHA,
        offset: (srgb::ALPHA - 1.0) / srgb::ALPHA,
        line: srgb::SLOPE,
        cut: srgb::CODE_BREAK,
    };

    const BT709: Self = Self {
        exponent: 1.0 / bt709::EXPONENT,
        scale: 1.0 / bt709::ALPHA,
        offset: (bt709::ALPHA - 1.0) / bt709::ALPHA,
        line: bt709::SLOPE,
        cut: bt709::CODE_BREAK,
    };

    fn decode(&self) -> Vec<Named> {
        vec![
            ("scale", Scalar(self.scale)),
            ("offset", Scalar(self.offset)),
            ("exponent", Scalar(self.exponent)),
            ("line_scale", Scalar(1.0 / self.line)),
            ("cut", Break(self.cut)),
        ]
    }

    fn encode(&self, form: Form, published_cut: f64) -> Vec<Named> {
        // The pieces overlap or meet to 1e-7 of code, so that there is no gap to speak of in f32.
        let cut = match form {
            Form::Published => published_cut,
            Form::Exact => (self.scale * self.cut + self.offset).powf(self.exponent),
        };
        vec![
            ("exponent", Scalar(1.0 / self.exponent)),
            ("scale", Scalar(1.0 / self.scale)),
            ("offset", Scalar(-self.offset / self.scale)),
            ("line_scale", Scalar(self.line)),
            ("cut", Break(cut)),
        ]
    }
}

/// `light = gain |code + lift|^2.4 + black`, black and gain as shares of peak less black.
fn bt1886_decode(peak_nits: f64, black_nits: f64) -> Vec<Named> {
    let curve = gamma::Bt1886::new(peak_nits, black_nits);
    vec![
        ("lift", Scalar(curve.lift)),
        ("exponent", Scalar(gamma::BT1886_EXPONENT)),
        ("gain", Scalar(curve.gain_nits / curve.span_nits)),
        ("black", Scalar(-curve.black_nits / curve.span_nits)),
    ]
}

fn bt1886_encode(peak_nits: f64, black_nits: f64) -> Vec<Named> {
    let curve = gamma::Bt1886::new(peak_nits, black_nits);
    vec![
        ("gain", Scalar(curve.span_nits / curve.gain_nits)),
        ("black", Scalar(curve.black_nits / curve.gain_nits)),
        ("exponent", Scalar(1.0 / gamma::BT1886_EXPONENT)),
        ("lift", Scalar(-curve.lift)),
    ]
}

fn pq_decode() -> Vec<Named> {
    vec![
        ("scale", Scalar(pq::PEAK_NITS / pq::NITS_PER_LINEAR)),
        ("top", Break(pq::TANGENT_CODE)),
        ("top_light", Scalar(pq::tangent_linear())),
        ("top_slope", Scalar(pq::tangent_slope())),
    ]
}

fn pq_encode() -> Vec<Named> {
    vec![
        ("scale", Scalar(pq::NITS_PER_LINEAR / pq::PEAK_NITS)),
        ("top", Scalar(pq::TANGENT_CODE)),
        ("top_light", Break(pq::tangent_linear())),
        ("top_slope", Scalar(1.0 / pq::tangent_slope())),
    ]
}

fn hlg_decode() -> Vec<Named> {
    let power = 1.0 / (hlg::A * LN_2);
    vec![
        ("power", Scalar(power)),
        ("shift", Scalar(-hlg::C * power - 12f64.log2())),
        ("offset", Scalar(hlg::B / 12.0)),
        ("square", Scalar(1.0 / 3.0)),
        ("cut", Break(hlg::CODE_BREAK)),
    ]
}

fn hlg_encode() -> Vec<Named> {
    vec![
        ("slope", Scalar(hlg::A * LN_2)),
        ("shift", Scalar(hlg::C + hlg::A * 12f64.ln())),
        ("offset", Scalar(-hlg::B / 12.0)),
        ("square", Scalar(3.0)),
        ("cut", Break(hlg::LINEAR_BREAK)),
    ]
}
