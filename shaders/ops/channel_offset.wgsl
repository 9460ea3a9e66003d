struct ChannelOffset {
    offset: vec3f,
}

fn op_channel_offset(p: ChannelOffset, rgb: vec3f) -> vec3f {
    return rgb + p.offset;
}
