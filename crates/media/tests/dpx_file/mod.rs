//! A plain packer of DPX files, bit by bit, to hold the reader against.

use frame::Size;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Luma = 6,
    Rgb = 50,
    Rgba = 51,
    Abgr = 52,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Packing {
    Packed,
    MethodA,
    MethodB,
}

/// A file to be.
#[derive(Debug, Clone)]
pub struct Written {
    pub size: Size,
    pub kind: Kind,
    pub bits: u8,
    pub packing: Packing,
    pub big: bool,
    pub orientation: u16,
    pub line_padding: u32,
    /// Whether lines are run-length encoded.
    pub runs: bool,
    /// In the file's order of samples.
    pub codes: Vec<u16>,
}

/// Every depth, packing, byte order and kind of pixel, with runs and without.
pub fn every_sort(size: Size) -> Vec<Written> {
    let mut all = Vec::new();
    for kind in [Kind::Luma, Kind::Rgb, Kind::Rgba, Kind::Abgr] {
        for (bits, packings) in [(8, 0..1), (10, 0..3), (12, 0..3), (16, 0..1)] {
            for packing in packings {
                for (big, runs) in [(true, false), (false, false), (true, true), (false, true)] {
                    let packing = [Packing::Packed, Packing::MethodA, Packing::MethodB][packing];
                    all.push(Written { packing, big, runs, ..Written::new(size, kind, bits) });
                }
            }
        }
    }
    all
}

impl Written {
    /// Big-endian, packed, with a scatter of codes.
    pub fn new(size: Size, kind: Kind, bits: u8) -> Written {
        let packing = Packing::Packed;
        let codes = vec![0; size.pixels() * count(kind)];
        let mut written =
            Written { size, kind, bits, packing, big: true, orientation: 0, line_padding: 0, runs: false, codes };
        written.scatter(1);
        written
    }

    pub fn scatter(&mut self, seed: u32) {
        let mut state = seed | 1;
        let bits = u32::from(self.bits);
        self.codes.fill_with(|| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> (32 - bits)) as u16
        });
        if self.runs {
            // Something to run: pixels like the one before, about every other time, four lengths in a row.
            let count = count(self.kind);
            for pixel in (count..self.codes.len()).step_by(count) {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                if state >> 30 != 0 && pixel / 16 % 2 == 0 {
                    self.codes.copy_within(pixel - count..pixel, pixel);
                }
            }
        }
    }

    /// The codes a frame has for these, for orientation 0.
    pub fn upright_codes(&self) -> Vec<u16> {
        match self.kind {
            Kind::Luma => self.codes.iter().flat_map(|&code| [code; 3]).collect(),
            Kind::Rgb | Kind::Rgba => self.codes.clone(),
            Kind::Abgr => self.codes.chunks(4).flat_map(|pixel| pixel.iter().rev().copied()).collect(),
        }
    }

    /// 2048 bytes, of which the reader needs a few.
    pub fn header(&self) -> Vec<u8> {
        let mut header = vec![0; 2048];
        let mut put = |at: usize, value: u32, len: usize| {
            let bytes =
                if self.big { value.to_be_bytes()[4 - len..].to_vec() } else { value.to_le_bytes()[..len].to_vec() };
            header[at..at + len].copy_from_slice(&bytes);
        };
        put(0, u32::from_be_bytes(*b"SDPX"), 4);
        put(4, 2048, 4);
        put(660, u32::MAX, 4);
        put(768, u32::from(self.orientation), 2);
        put(770, 1, 2);
        put(772, self.size.width, 4);
        put(776, self.size.height, 4);
        put(784, u32::MAX, 4);
        put(792, u32::MAX, 4);
        put(800, self.kind as u32, 1);
        put(803, u32::from(self.bits), 1);
        put(804, self.packing as u32, 2);
        put(806, u32::from(self.runs), 2);
        put(808, 2048, 4);
        put(812, self.line_padding, 4);
        header[872..1356].fill(0xff);
        header
    }

    /// Header, then line after line.
    pub fn bytes(&self) -> Vec<u8> {
        let mut bytes = self.header();
        for line in self.codes.chunks(self.size.width as usize * count(self.kind)) {
            if self.runs {
                let line = self.line(&self.encoded(line));
                bytes.extend(&line);
                bytes.resize(bytes.len().next_multiple_of(4), 0);
            } else {
                bytes.extend(self.line(line));
            }
            bytes.extend(vec![0xaa; self.line_padding as usize]);
        }
        bytes
    }

    /// A line as runs: of like pixels where two follow one another, of others up to there.
    fn encoded(&self, line: &[u16]) -> Vec<u16> {
        let pixels: Vec<&[u16]> = line.chunks(count(self.kind)).collect();
        let longest = (1 << (self.bits - 1)) - 1;
        let is_like = |at: usize| pixels.get(at + 1) == Some(&pixels[at]);
        let (mut encoded, mut at) = (Vec::new(), 0);
        while at < pixels.len() {
            let mut end = at + 1;
            let same = is_like(at);
            while end < pixels.len() && end - at < longest && if same { is_like(end - 1) } else { !is_like(end) } {
                end += 1;
            }
            encoded.push(((end - at) << 1) as u16 | u16::from(same));
            pixels[at..if same { at + 1 } else { end }].iter().for_each(|pixel| encoded.extend(*pixel));
            at = end;
        }
        encoded
    }

    fn line(&self, codes: &[u16]) -> Vec<u8> {
        let spare = |bits: u32| if self.packing == Packing::MethodA { bits } else { 0 };
        match (self.bits, self.packing) {
            (8, _) => codes.iter().map(|&code| code as u8).collect(),
            (16, _) => self.shorts(codes.iter().copied()),
            (12, Packing::MethodA | Packing::MethodB) => self.shorts(codes.iter().map(|code| code << spare(4))),
            (10, Packing::MethodA | Packing::MethodB) => {
                let word = |three: &[u16]| {
                    let mut word = 0;
                    for (i, &code) in three.iter().enumerate() {
                        // Luma alone counts from the low end.
                        let place = if self.kind == Kind::Luma { i } else { 2 - i } as u32;
                        word |= u32::from(code) << (10 * place + spare(2));
                    }
                    word
                };
                self.words(codes.chunks(3).map(word))
            }
            _ => {
                let bits = codes.iter().flat_map(|code| (0..self.bits).map(move |bit| code >> bit & 1));
                let bits: Vec<u16> = bits.collect();
                let word = |bits: &[u16]| bits.iter().enumerate().map(|(i, &bit)| u32::from(bit) << i).sum();
                self.words(bits.chunks(32).map(word))
            }
        }
    }

    fn shorts(&self, values: impl Iterator<Item = u16>) -> Vec<u8> {
        values.flat_map(|value| if self.big { value.to_be_bytes() } else { value.to_le_bytes() }).collect()
    }

    fn words(&self, values: impl Iterator<Item = u32>) -> Vec<u8> {
        values.flat_map(|value| if self.big { value.to_be_bytes() } else { value.to_le_bytes() }).collect()
    }
}

fn count(kind: Kind) -> usize {
    match kind {
        Kind::Luma => 1,
        Kind::Rgb => 3,
        Kind::Rgba | Kind::Abgr => 4,
    }
}
