// Powers that stay finite: no argument reaches log2(0), an infinity or a NaN.

// 2^x, held below 2^99: the largest light there is, as in crate colour, so that every executor ends at the same one.
fn finite_exp2(x: vec3f) -> vec3f {
    return exp2(min(x, vec3f(99.0)));
}

// log2(x), held above the smallest normal float for arguments at or below zero.
fn finite_log2(x: vec3f) -> vec3f {
    return log2(max(x, vec3f(1.2e-38)));
}

// The same of one number.
fn finite_log2_of(x: f32) -> f32 {
    return log2(max(x, 1.2e-38));
}

// A size with the sign of another number.
fn with_sign(size: vec3f, other: vec3f) -> vec3f {
    let sign_bit = bitcast<vec3u>(other) & vec3u(0x80000000u);
    return bitcast<vec3f>(bitcast<vec3u>(size) | sign_bit);
}

// |x|^exponent with the sign of x, for exponents above one. Zero stays zero.
fn signed_power(x: vec3f, exponent: f32) -> vec3f {
    return with_sign(finite_exp2(exponent * finite_log2(abs(x))), x);
}

// |x|^exponent with the sign of x, for exponents below one, which cannot overflow. Zero becomes what the
// smallest float becomes: 1e-16 for a display's root.
fn signed_root(x: vec3f, exponent: f32) -> vec3f {
    return with_sign(exp2(exponent * finite_log2(abs(x))), x);
}
