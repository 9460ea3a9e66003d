// Words of a stored frame, and their byte order.

// The four bytes of a word turned round. By bytes, which devices make one instruction of; by shifts they do not.
fn swap_bytes(word: u32) -> u32 {
    return pack4xU8(unpack4xU8(word).wzyx);
}

// The two bytes of each half of a word turned round.
fn swap_halves(word: u32) -> u32 {
    return ((word & 0x00ff00ffu) << 8u) | ((word >> 8u) & 0x00ff00ffu);
}
