// Powers that stay finite: no argument reaches log2(0), an infinity or a NaN.

// The largest light that a logarithmic curve gives, as in crate colour: every executor ends at the same one.
const LARGEST_LIGHT: f32 = 1e30;

// 2^x, held below the largest float.
fn finite_exp2(x: vec3f) -> vec3f {
    return exp2(min(x, vec3f(126.0)));
}

// log2(x), held above the smallest normal float for arguments at or below zero.
fn finite_log2(x: vec3f) -> vec3f {
    return log2(max(x, vec3f(1.2e-38)));
}

// A size with the sign of another number.
fn with_sign(size: vec3f, other: vec3f) -> vec3f {
    let sign_bit = bitcast<vec3u>(other) & vec3u(0x80000000u);
    return bitcast<vec3f>(bitcast<vec3u>(size) | sign_bit);
}

// |x|^exponent with the sign of x; zero stays zero.
fn signed_power(x: vec3f, exponent: f32) -> vec3f {
    let size = abs(x);
    let power = finite_exp2(exponent * finite_log2(size));
    return select(with_sign(power, x), x, size < vec3f(1.2e-38));
}
