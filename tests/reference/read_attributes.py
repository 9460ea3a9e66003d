"""Everything that OpenImageIO finds in the headers of pictures, for tests/tests/aces_container.rs.

Arguments: files. JSON goes out, a list with an object a file: its attributes by their names there, and "format",
"channels", "tile", "data" and "display" (x, y, width, height).
"""

import json
import sys

import OpenImageIO as oiio


def attributes(path):
    file = oiio.ImageInput.open(path)
    if file is None:
        raise SystemExit(f"{path}: {oiio.geterror()}")
    spec = file.spec()
    found = {attribute.name: attribute.value for attribute in spec.extra_attribs}
    found["format"] = str(spec.format)
    found["channels"] = list(spec.channelnames)
    found["tile"] = spec.tile_width
    found["data"] = [spec.x, spec.y, spec.width, spec.height]
    found["display"] = [spec.full_x, spec.full_y, spec.full_width, spec.full_height]
    return found


print(json.dumps([attributes(path) for path in sys.argv[1:]], default=str))
