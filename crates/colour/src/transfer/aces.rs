//! ACEScc, and the figures it shares with ACEScct.

use super::pieces::Joint;
use super::{Form, LARGEST_LIGHT, antilog};

/// Stops that a code of 1 spans. Source: Academy S-2014-003, eq. 1.
pub const STOPS_PER_CODE: f64 = 17.52;
/// log2 of the light at code 0 is minus this. Source: Academy S-2014-003, eq. 1.
pub const OFFSET_STOPS: f64 = 9.72;
/// Below this light ACEScc blends towards 0: 2^-15. Source: Academy S-2014-003, eq. 1.
pub const CC_LINEAR_BREAK: f64 = 1.0 / 32768.0;
/// The offset of that blend: 2^-16. Source: Academy S-2014-003, eq. 1.
pub const CC_LINEAR_OFFSET: f64 = 1.0 / 65536.0;
/// The code of [`CC_LINEAR_BREAK`]. Source: Academy S-2014-003, eq. 3.
pub const CC_CODE_BREAK: f64 = (OFFSET_STOPS - 15.0) / STOPS_PER_CODE;
/// The code of light 0, where the published encoder clamps. Source: Academy S-2014-003, eq. 1.
pub const CC_CODE_OF_ZERO: f64 = (OFFSET_STOPS - 16.0) / STOPS_PER_CODE;
/// Light at which the published decoder clamps: the largest half float. Source: Academy S-2014-003, eq. 3.
pub const CC_LARGEST: f64 = 65504.0;
/// The slope of light over code at [`CC_CODE_OF_ZERO`]: 2^-15 x 17.52 x ln 2. Below it the exact form runs on
/// along this tangent.
pub const CC_TANGENT: f64 = CC_LINEAR_BREAK * STOPS_PER_CODE * std::f64::consts::LN_2;

/// Break of ACEScct in light. Source: Academy S-2016-001.
pub const CCT_LINEAR_BREAK: f64 = 0.0078125;
/// Break of ACEScct in code. Source: Academy S-2016-001.
pub const CCT_CODE_BREAK: f64 = 0.155251141552511;
/// Slope of the straight part of ACEScct. Source: Academy S-2016-001.
pub const CCT_SLOPE: f64 = 10.5402377416545;
/// Code of light 0 in ACEScct. Source: Academy S-2016-001.
pub const CCT_OFFSET: f64 = 0.0729055341958355;

const JOINT: Joint = Joint { code: CC_CODE_BREAK, below: CC_LINEAR_BREAK, above: CC_LINEAR_BREAK };

fn stops_from_code(code: f64) -> f64 {
    code * STOPS_PER_CODE - OFFSET_STOPS
}

fn code_from_stops(stops: f64) -> f64 {
    (stops + OFFSET_STOPS) / STOPS_PER_CODE
}

pub(super) fn linear_from_cc(form: Form, code: f64) -> f64 {
    if form == Form::Exact && code < CC_CODE_OF_ZERO {
        return (code - CC_CODE_OF_ZERO) * CC_TANGENT;
    }
    if code < CC_CODE_BREAK {
        return (antilog(2.0, stops_from_code(code)) - CC_LINEAR_OFFSET) * 2.0;
    }
    let light = antilog(2.0, stops_from_code(code));
    light.min(if form == Form::Published { CC_LARGEST } else { LARGEST_LIGHT })
}

pub(super) fn cc_from_linear(form: Form, linear: f64) -> f64 {
    if linear <= 0.0 {
        return match form {
            Form::Published => CC_CODE_OF_ZERO,
            Form::Exact => linear / CC_TANGENT + CC_CODE_OF_ZERO,
        };
    }
    JOINT.encode(linear, |x| code_from_stops((CC_LINEAR_OFFSET + x * 0.5).log2()), |x| code_from_stops(x.log2()))
}
