struct HlgBlack {
    scale: f32,
    offset: f32,
}

fn op_hlg_black(p: HlgBlack, rgb: vec3f) -> vec3f {
    return rgb * p.scale + p.offset;
}
