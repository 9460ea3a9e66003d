"""Reads pictures with OpenImageIO for the comparison in tests/tests/manifest.rs.

Arguments: a list of files, one path a line, and a folder. For each file one line goes out: its place in the list, then
"read", width, height, channels and kind, or "refused" and why. The samples go to <place>.raw in the folder: unsigned
16-bit words (32-bit for "float"), little-endian, interleaved, rows from the top.

Kinds: a number of bits for codes, "half" and "float" for the bits of the number, "associated" for colour that this
script has multiplied by alpha, as 65535ths.
"""

import sys
from pathlib import Path

import numpy as np
import OpenImageIO as oiio

# Whole numbers of 32 bits become the nearest float, as ids and counts do in our reader.
KINDS = {"uint8": 8, "uint16": 16, "half": "half", "float": "float", "uint": "float", "uint32": "float"}


def chosen(spec):
    """Places of red, green, blue and, if there, alpha; luma stands for all three. None where there is no picture."""
    names = [name.upper() for name in spec.channelnames]
    if spec.nchannels == 1 and names[0] not in ("A", "Z"):
        return [0, 0, 0]
    for colour in (["R", "G", "B"], ["Y", "Y", "Y"]):
        if all(name in names for name in colour):
            alpha = [names.index("A")] if "A" in names else []
            return [names.index(name) for name in colour] + alpha
    return None


def first_picture(file):
    """The first part that holds a flat picture."""
    part = 0
    while file.seek_subimage(part, 0):
        spec = file.spec()
        places = chosen(spec)
        if places and not spec.deep:
            return part, spec, places
        part += 1
    raise ValueError("no part with red, green and blue")


def in_display_window(pixels, spec):
    """The stored picture placed in the frame; nothing is stored outside its own window."""
    frame = np.zeros((spec.full_height, spec.full_width, pixels.shape[2]), pixels.dtype)
    left, top = spec.x - spec.full_x, spec.y - spec.full_y
    x0, x1 = max(left, 0), min(left + spec.width, spec.full_width)
    y0, y1 = max(top, 0), min(top + spec.height, spec.full_height)
    if x0 < x1 and y0 < y1:
        frame[y0:y1, x0:x1] = pixels[y0 - top : y1 - top, x0 - left : x1 - left]
    return frame


def upright(pixels, kind, spec):
    """The picture as it is to be seen; files store it turned and say so."""
    code = spec.get_int_attribute("Orientation", 1)
    if code not in range(2, 9):
        return pixels
    height, width, channels = pixels.shape
    stored = oiio.ImageBuf(oiio.ImageSpec(width, height, channels, kind))
    stored.specmod()["Orientation"] = code
    stored.set_pixels(oiio.ROI(), pixels)
    return np.asarray(oiio.ImageBufAlgo.reorient(stored).get_pixels(kind)).astype(pixels.dtype)


def words_of(pixels, kind, spec, associate):
    """Samples as unsigned words, and the kind they then are."""
    if kind == "half":
        return pixels.view(np.uint16).astype("<u2"), kind
    if kind == "float":
        return pixels.astype(np.float32).view(np.uint32).astype("<u4"), kind
    if not associate:
        bits = spec.get_int_attribute("oiio:BitsPerSample", kind)
        if not 8 < bits < kind:
            return pixels.astype("<u2"), kind
        # The library widens codes by one rule or another, some with zeros below; the top bits are the code itself.
        return (pixels >> (kind - bits)).astype("<u2"), bits
    values = pixels.astype(np.float64) / (2**kind - 1)
    values[..., :3] *= values[..., 3:]
    return np.floor(values * 65535.0 + 0.5).astype("<u2"), "associated"


def read(path):
    as_stored = oiio.ImageSpec()
    as_stored["oiio:UnassociatedAlpha"] = 1
    file = oiio.ImageInput.open(path, as_stored)
    if file is None:
        raise ValueError(oiio.geterror())
    part, spec, places = first_picture(file)
    formats = {str(spec.channelformat(place)) for place in places}
    if len(formats) != 1 or not formats <= KINDS.keys():
        raise ValueError(f"samples of {', '.join(sorted(formats))}")
    kind = KINDS[formats.pop()]
    planes = {}
    for place in set(places):
        plane = file.read_image(part, 0, place, place + 1, spec.channelformat(place))
        if plane is None:
            raise ValueError(file.geterror())
        planes[place] = np.asarray(plane).reshape(spec.height, spec.width)
    pixels = np.stack([planes[place] for place in places], axis=2)
    if file.format_name() == "openexr":
        pixels = in_display_window(pixels, spec)
    pixels = upright(np.ascontiguousarray(pixels), spec.channelformat(places[0]), spec)
    associate = len(places) == 4 and spec.get_int_attribute("oiio:UnassociatedAlpha", 0) == 1
    return words_of(np.ascontiguousarray(pixels), kind, spec, associate)


def main():
    paths = Path(sys.argv[1]).read_text(encoding="utf-8").splitlines()
    for place, path in enumerate(paths):
        try:
            words, kind = read(path)
        except Exception as error:  # whatever it is, it is this file's answer
            print(place, "refused", " ".join(str(error).split()), sep="\t")
            continue
        height, width, channels = words.shape
        words.tofile(Path(sys.argv[2]) / f"{place}.raw")
        print(place, "read", width, height, channels, kind, sep="\t")


if __name__ == "__main__":
    main()
