"""Rows through OpenColorIO's own ACES 2 output transforms: display, spacing, three inputs, three outputs.

No figure of ours enters. `lattice` gives the display's signal of ACEScg, 17 steps a channel from -0.2 to 16, spaced evenly
and by the cube root (closer together near black); `inverse` gives ACEScg of the display's signal, 9 steps a channel of what
the limiting primaries hold.
"""

import itertools
import sys

import numpy as np
import PyOpenColorIO as ocio

SDR = {"BT.1886": "DISPLAY - CIE-XYZ-D65_to_REC.1886-REC.709", "P3-D65": "DISPLAY - CIE-XYZ-D65_to_G2.6-P3-D65"}
PQ = "DISPLAY - CIE-XYZ-D65_to_REC.2100-PQ"
OUTPUTS = [
    ("SDR-100nit-REC709", "BT.1886"),
    ("SDR-100nit-P3-D65", "P3-D65"),
    *((f"HDR-{nits}nit-P3-D65", "PQ") for nits in (108, 300, 500, 1000, 2000, 4000)),
    *((f"HDR-{nits}nit-REC2020", "PQ") for nits in (500, 1000, 2000, 4000)),
]
HLG = "DISPLAY - CIE-XYZ-D65_to_REC.2100-HLG-1000nit"
FORWARD, INVERSE = ocio.TRANSFORM_DIR_FORWARD, ocio.TRANSFORM_DIR_INVERSE


def curve(display):
    """From XYZ to the display's signal."""
    return {**SDR, "PQ": PQ, "HLG": HLG}[display]


def transform(output, display):
    """From ACEScg to the display's signal."""
    steps = ("ACEScg_to_ACES2065-1", f"ACES-OUTPUT - ACES2065-1_to_CIE-XYZ-D65 - {output}_2.0", curve(display))
    group = ocio.GroupTransform()
    for step in steps:
        group.appendTransform(ocio.BuiltinTransform(step, FORWARD))
    return group


def through(rows, group, direction=FORWARD):
    processor = ocio.Config.CreateRaw().getProcessor(group, direction)
    cpu = processor.getOptimizedCPUProcessor(ocio.BIT_DEPTH_F32, ocio.BIT_DEPTH_F32, ocio.OPTIMIZATION_LOSSLESS)
    out = rows.copy()
    cpu.applyRGB(out)
    return out


def write(what, way, rows, out):
    for a, b in zip(rows, out):
        print(what, way, *(repr(float(v)) for v in (*a, *b)), sep="\t")


def cube(ticks):
    return np.array(list(itertools.product(ticks, repeat=3)), dtype=np.float32)


def lattice():
    spacings = {"even": np.linspace(-0.2, 16, 17), "cube root": np.linspace(np.cbrt(-0.2), np.cbrt(16), 17) ** 3}
    for output, display in OUTPUTS:
        for spacing, ticks in spacings.items():
            rows = cube(ticks)
            write(output, spacing, rows, through(rows, transform(output, display)))


def signal_of_light(light, limit, display):
    """The display's signal of light on the limiting primaries, 1.0 standing for 100 nits."""
    to_xyz = {"REC709": "REC.1886-REC.709", "P3-D65": "G2.6-P3-D65", "REC2020": "REC.1886-REC.2020"}[limit]
    gamma = 2.6 if limit == "P3-D65" else 2.4
    group = ocio.GroupTransform()
    group.appendTransform(ocio.BuiltinTransform(f"DISPLAY - CIE-XYZ-D65_to_{to_xyz}", INVERSE))
    group.appendTransform(ocio.BuiltinTransform(curve(display), FORWARD))
    return through((light ** (1 / gamma)).astype(np.float32), group)


def inverse():
    for output, display in OUTPUTS:
        nits, limit = output.split("-", 1)[1].split("nit-")
        light = cube(np.linspace(0, 1, 9) ** 2.4).astype(np.float64) * float(nits) / 100
        rows = signal_of_light(light, limit, display)
        write(output, "inverse", rows, through(rows, transform(output, display), INVERSE))


if __name__ == "__main__":
    print("what", "way", "in_r", "in_g", "in_b", "out_r", "out_g", "out_b", sep="\t")
    {"lattice": lattice, "inverse": inverse}[sys.argv[1]]()
