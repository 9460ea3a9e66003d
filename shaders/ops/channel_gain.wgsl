struct ChannelGain {
    gain: vec3f,
}

fn op_channel_gain(p: ChannelGain, rgb: vec3f) -> vec3f {
    return rgb * p.gain;
}
