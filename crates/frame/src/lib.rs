//! The home of pixels: size, channels, packing, range, raw bytes and float planes. No I/O.
