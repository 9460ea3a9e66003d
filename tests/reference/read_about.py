"""Says what pictures tell of themselves, as OpenImageIO reads it, for tests/tests/written_files.rs.

Arguments: files. JSON goes out, a list with an object a file: "timecode" and "user" (words of SMPTE ST 12), "rate"
(frames a second), "aspect" (width of a pixel over its height) and "texts" (every attribute that is one), each null
or empty where the file does not say.
"""

import json
import sys

import OpenImageIO as oiio


def about(path):
    file = oiio.ImageInput.open(path)
    if file is None:
        raise SystemExit(f"{path}: {oiio.geterror()}")
    attributes = {attribute.name: attribute.value for attribute in file.spec().extra_attribs}
    timecode, user = attributes.get("smpte:TimeCode", (None, None))
    rate = attributes.get("framesPerSecond")
    if rate is not None:
        rate = rate[0] / rate[1]
    return {
        "timecode": timecode,
        "user": user,
        "rate": rate or attributes.get("dpx:TemporalFrameRate"),
        # The film header of DPX says the rate once more.
        "film_rate": attributes.get("dpx:FrameRate"),
        "aspect": attributes.get("PixelAspectRatio"),
        "texts": [value for value in attributes.values() if isinstance(value, str)],
    }


print(json.dumps([about(path) for path in sys.argv[1:]]))
