"""Writes TIFF, PNG and JPEG files of every kind that is read, for tests/tests/still_kinds.rs.

Argument: a folder. The names of the files go out, one a line. TIFF and PNG are put together here, field by field
(TIFF Revision 6.0; TIFF Technical Note 3; PNG, third edition), so that neither our code nor a library chooses what a
file of a kind looks like; JPEG is written by OpenImageIO.
"""

import struct
import sys
import zlib
from pathlib import Path

import numpy as np
import OpenImageIO as oiio

WIDTH, HEIGHT = 37, 21
FOLDER = Path(sys.argv[1])
RANDOM = np.random.default_rng(2065)


def save(name, data):
    (FOLDER / name).write_bytes(data)
    print(name)


def codes(channels, bits):
    return RANDOM.integers(0, 2**bits, (HEIGHT, WIDTH, channels), dtype=np.uint32)


def packed(rows, bits, order):
    """Rows of samples as bytes, each row beginning with a byte; all widths but 8, 16, 32 as a string of bits."""
    flat = rows.reshape(rows.shape[0], -1)
    if bits in (8, 16, 32):
        return b"".join(row.astype(f"{order}u{bits // 8}").tobytes() for row in flat)
    places = np.arange(bits - 1, -1, -1)
    return np.packbits(((flat[:, :, None] >> places) & 1).astype(np.uint8).reshape(len(flat), -1), axis=1).tobytes()


def differences(rows, bits):
    """Horizontal differencing, the same channel of the pixel before."""
    rows = rows.astype(np.int64)
    rows[:, 1:] -= rows[:, :-1].copy()
    return (rows % 2**bits).astype(np.uint32)


def float_differences(rows, bits):
    """Bytes of a row sorted by significance, the highest first, then differenced."""
    out = b""
    for row in rows:
        planes = row.astype(f">u{bits // 8}").reshape(-1).view(np.uint8).reshape(-1, bits // 8).T.reshape(-1)
        planes = planes.astype(np.int64)
        step = row.shape[1]
        planes[step:] -= planes[:-step].copy()
        out += (planes % 256).astype(np.uint8).tobytes()
    return out


def byte_runs(data):
    """PackBits with no run at all: legal, and what a lazy writer makes; then one run to see both."""
    out = b""
    for at in range(0, len(data), 128):
        part = data[at : at + 128]
        same = len(part) > 1 and len(set(part)) == 1
        out += bytes([257 - len(part), part[0]]) if same else bytes([len(part) - 1]) + part
    return out


def tiff(name, pixels, bits, photometric, order="<", big=False, planar=False, tile=None, rows=8, **more):
    """`more`: compression, predictor, fill, kind (SampleFormat), extra, orientation, colours (ColorMap), shape."""
    channels = pixels.shape[2]
    compression, predictor = more.get("compression", 1), more.get("predictor", 1)

    def chunk(part):
        if predictor == 3:
            data = float_differences(part, bits)
        else:
            data = packed(differences(part, bits) if predictor == 2 else part, bits, order)
        data = {1: bytes, 8: zlib.compress, 32773: byte_runs}[compression](data)
        return bytes(int(f"{byte:08b}"[::-1], 2) for byte in data) if more.get("fill") == 2 else data

    chunks = []
    for plane in [pixels[:, :, at : at + 1] for at in range(channels)] if planar else [pixels]:
        if tile:
            padded = np.zeros((-(-HEIGHT // tile) * tile, -(-WIDTH // tile) * tile, plane.shape[2]), np.uint32)
            padded[:HEIGHT, :WIDTH] = plane
            for y in range(0, HEIGHT, tile):
                chunks += [chunk(padded[y : y + tile, x : x + tile]) for x in range(0, WIDTH, tile)]
        else:
            chunks += [chunk(plane[y : y + rows]) for y in range(0, HEIGHT, rows)]
    data, offsets = b"", []
    for part in chunks:
        offsets.append(16 + len(data))
        data += part + b"\0" * (len(part) % 2)
    lens = [len(part) for part in chunks]
    fields = {256: (4, [WIDTH]), 257: (4, [HEIGHT]), 258: (3, [bits] * channels), 259: (3, [compression])}
    fields |= {262: (3, [photometric]), 277: (3, [channels]), 284: (3, [2 if planar else 1])}
    if tile:
        fields |= {322: (4, [tile]), 323: (4, [tile]), 324: (4, offsets), 325: (4, lens)}
    else:
        fields |= {273: (4, offsets), 278: (4, [rows]), 279: (4, lens)}
    for tag, key in [(317, "predictor"), (266, "fill"), (274, "orientation"), (338, "extra")]:
        if key in more:
            fields[tag] = (3, [more[key]])
    if "kind" in more:
        fields[339] = (3, [more["kind"]] * channels)
    if "colours" in more:
        fields[320] = (3, more["colours"])
    if "shape" in more:
        fields |= {282: (5, more["shape"][0]), 283: (5, more["shape"][1])}
    width = 8 if big else 4
    start = 16 + len(data)
    entries, after = b"", b""
    after_at = start + (8 if big else 2) + len(fields) * (4 + 2 * width) + width
    for tag, (kind, values) in sorted(fields.items()):
        value = struct.pack(f"{order}{len(values)}{'H' if kind == 3 else 'I'}", *values)
        count = len(values) // 2 if kind == 5 else len(values)
        if len(value) > width:
            at = after_at + len(after)
            after += value + b"\0" * (len(value) % 2)
            value = struct.pack(f"{order}{'Q' if big else 'I'}", at)
        entries += struct.pack(f"{order}HH{'Q' if big else 'I'}", tag, kind, count) + value.ljust(width, b"\0")
    mark = b"II" if order == "<" else b"MM"
    head = mark + (struct.pack(f"{order}HHHQ", 43, 8, 0, start) if big else struct.pack(f"{order}HI", 42, start))
    count = struct.pack(f"{order}{'Q' if big else 'H'}", len(fields))
    save(name, head.ljust(16, b"\0") + data + count + entries + bytes(width) + after)


def tiffs():
    for bits in (1, 2, 4, 8, 16):
        for photometric, name in ((0, "white"), (1, "black")):
            tiff(f"grey_{bits}_{name}_is_zero.tif", codes(1, bits), bits, photometric)
    for bits in (8, 10, 12, 14, 16):
        for order, name in (("<", "little"), (">", "big")):
            tiff(f"rgb_{bits}_{name}.tif", codes(3, bits), bits, 2, order)
    tiff("rgb_8_planes.tif", codes(3, 8), 8, 2, planar=True)
    tiff("rgb_16_planes_tiles.tif", codes(3, 16), 16, 2, ">", planar=True, tile=16)
    tiff("rgb_16_wide_offsets.tif", codes(3, 16), 16, 2, ">", big=True, compression=8)
    tiff("rgb_16_deflate_difference.tif", codes(3, 16), 16, 2, compression=8, predictor=2)
    tiff("rgb_8_tiles_difference.tif", codes(3, 8), 8, 2, tile=16, compression=8, predictor=2)
    runs = np.repeat(codes(3, 8)[:, :1], WIDTH, axis=1)
    tiff("rgb_8_byte_runs.tif", runs // 128 * 255, 8, 2, compression=32773)
    tiff("grey_1_reversed.tif", codes(1, 1), 1, 1, fill=2)
    for extra, name in ((1, "associated"), (2, "unassociated")):
        for bits in (8, 16):
            pixels = codes(4, bits)
            if extra == 1:
                pixels[..., :3] = pixels[..., :3] * pixels[..., 3:].astype(np.uint64) // (2**bits - 1)
            tiff(f"rgba_{bits}_{name}.tif", pixels, bits, 2, extra=extra)
            tiff(f"grey_{bits}_{name}.tif", np.ascontiguousarray(pixels[..., [0, 3]]), bits, 1, extra=extra)
    for bits in (1, 2, 4, 8):
        colours = [int(value) * 257 for value in RANDOM.integers(0, 256, 3 * 2**bits)]
        tiff(f"palette_{bits}.tif", codes(1, bits), bits, 3, colours=colours)
    floats = RANDOM.normal(0.5, 2.0, (HEIGHT, WIDTH, 3))
    for bits, kind in ((16, np.float16), (32, np.float32)):
        words = floats.astype(kind).view(f"u{bits // 8}").astype(np.uint32)
        for order, name in (("<", "little"), (">", "big")):
            tiff(f"float_{bits}_{name}.tif", words, bits, 2, order, kind=3)
        tiff(f"float_{bits}_difference.tif", words, bits, 2, kind=3, compression=8, predictor=3)
        tiff(f"float_{bits}_difference_tiles.tif", words, bits, 2, kind=3, compression=8, predictor=3, tile=16)
    for code in range(1, 9):
        tiff(f"turned_{code}.tif", codes(3, 8), 8, 2, orientation=code, shape=([4, 1], [6, 1]))


def png(name, rows, bits, colour, *chunks):
    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    lines = packed(rows, bits, ">")
    line = len(lines) // HEIGHT
    filtered = b"".join(b"\0" + lines[at : at + line] for at in range(0, len(lines), line))
    header = struct.pack(">IIBBBBB", WIDTH, HEIGHT, bits, colour, 0, 0, 0)
    parts = [(b"IHDR", header), *chunks, (b"IDAT", zlib.compress(filtered)), (b"IEND", b"")]
    save(name, b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*part) for part in parts))


def pngs():
    for bits in (1, 2, 4, 8, 16):
        png(f"grey_{bits}.png", codes(1, bits), bits, 0)
        # One grey is transparent.
        png(f"grey_{bits}_clear.png", codes(1, bits), bits, 0, (b"tRNS", struct.pack(">H", 1)))
    for bits in (8, 16):
        pixels = codes(3, bits)
        png(f"rgb_{bits}.png", pixels, bits, 2)
        png(f"rgb_{bits}_clear.png", pixels, bits, 2, (b"tRNS", struct.pack(">HHH", *map(int, pixels[3, 5]))))
        png(f"rgba_{bits}.png", codes(4, bits), bits, 6)
        png(f"grey_alpha_{bits}.png", codes(2, bits), bits, 4)
    for bits in (1, 2, 4, 8):
        colours = (b"PLTE", RANDOM.integers(0, 256, 3 * 2**bits, dtype=np.uint8).tobytes())
        png(f"palette_{bits}.png", codes(1, bits), bits, 3, colours)
        # Fewer alphas than colours: the rest is opaque.
        png(f"palette_{bits}_clear.png", codes(1, bits), bits, 3, colours, (b"tRNS", b"\0\x80"))


def jpegs():
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    smooth = np.stack([x / 37, y / 21, (x + y) / 58], axis=2)
    cases = [("grey", 1, {}), ("rgb", 3, {}), ("progressive", 3, {"jpeg:progressive": 1})]
    cases += [(f"turned_{code}", 3, {"Orientation": code}) for code in range(2, 9)]
    for name, channels, attributes in cases:
        spec = oiio.ImageSpec(WIDTH, HEIGHT, channels, "uint8")
        # Whole colour: how halved colour is spread again is the decoder's choice.
        spec["jpeg:subsampling"] = "4:4:4"
        for key, value in attributes.items():
            spec[key] = value
        out = oiio.ImageOutput.create("a.jpg")
        out.open(str(FOLDER / f"{name}.jpg"), spec)
        out.write_image(np.ascontiguousarray(np.round(smooth[..., :channels] * 255).astype(np.uint8)))
        out.close()
        print(f"{name}.jpg")


tiffs()
pngs()
jpegs()
