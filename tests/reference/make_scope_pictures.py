"""Makes the pictures of tests/data/scopes again, by the program itself and at half size.

    python tests/reference/make_scope_pictures.py target/debug/greywright

They are looked at by a person before they are kept: the test that reads them only holds what was found good.
"""

import pathlib
import subprocess
import sys
import tempfile

import OpenImageIO as oiio

HERE = pathlib.Path(__file__).resolve().parent.parent / "data" / "scopes"
# As in tests/tests/scopes_program.rs.
CASES = {
    "vectorscope": [],
    "waveform": ["--range", "legal"],
    "histogram": [],
    "chromaticity": [],
}


def halved(source, target):
    pixels = oiio.ImageBuf(str(source)).get_pixels()
    height, width = pixels.shape[0] // 2, pixels.shape[1] // 2
    small = pixels[: 2 * height, : 2 * width, :3].reshape(height, 2, width, 2, 3).mean((1, 3))
    spec = oiio.ImageSpec(width, height, 3, oiio.UINT8)
    spec.attribute("png:compressionLevel", 9)
    spec.attribute("png:filter", 0x08)
    out = oiio.ImageOutput.create(str(target))
    out.open(str(target), spec)
    out.write_image(small)
    out.close()


def main(program):
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        bars = folder / "bars.dpx"
        subprocess.run([program, "pattern", "bars75", "--size", "96x40", "--out", bars], check=True)
        for scope, more in CASES.items():
            sheet = folder / f"{scope}.png"
            line = [program, "scopes", bars, "--input", "BT.1886", "--scopes", scope, "--out", sheet]
            subprocess.run(line + more, check=True)
            halved(sheet, HERE / f"{scope}.png")


if __name__ == "__main__":
    main(sys.argv[1])
