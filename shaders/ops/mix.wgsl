struct Mix {
    keep: f32,
    share: f32,
}

fn op_mix(p: Mix, main: vec3f, side: vec3f) -> vec3f {
    return p.keep * main + p.share * side;
}
