"""Rows through OpenColorIO's own built-in transforms, written as a table: what, way, three inputs, three outputs.

No figure of ours enters: the library holds the curves and matrices. `scene` gives camera encodings to and from
ACES2065-1; `display` gives displays from ACES2065-1 by the Bradford adaptation to D65.
"""

import itertools
import sys

import numpy as np
import PyOpenColorIO as ocio

SCENE = [
    ("LogC3", "ARRI_ALEXA-LOGC-EI800-AWG_to_ACES2065-1"),
    ("LogC4", "ARRI_LOGC4_to_ACES2065-1"),
    ("S-Log3", "SONY_SLOG3-SGAMUT3_to_ACES2065-1"),
    ("S-Log3-Cine", "SONY_SLOG3-SGAMUT3.CINE_to_ACES2065-1"),
    ("V-Log", "PANASONIC_VLOG-VGAMUT_to_ACES2065-1"),
    ("C-Log2", "CANON_CLOG2-CGAMUT_to_ACES2065-1"),
    ("C-Log3", "CANON_CLOG3-CGAMUT_to_ACES2065-1"),
    ("Apple-Log", "APPLE_LOG_to_ACES2065-1"),
    ("ACEScc", "ACEScc_to_ACES2065-1"),
    ("ACEScct", "ACEScct_to_ACES2065-1"),
    ("ACEScg", "ACEScg_to_ACES2065-1"),
]
DISPLAYS = [
    ("BT.1886", "DISPLAY - CIE-XYZ-D65_to_REC.1886-REC.709 - MIRROR NEGS"),
    ("sRGB", "DISPLAY - CIE-XYZ-D65_to_sRGB - MIRROR NEGS"),
    ("Gamma2.2", "DISPLAY - CIE-XYZ-D65_to_G2.2-REC.709 - MIRROR NEGS"),
    ("P3-D65", "DISPLAY - CIE-XYZ-D65_to_G2.6-P3-D65 - MIRROR NEGS"),
    ("BT.2020", "DISPLAY - CIE-XYZ-D65_to_REC.1886-REC.2020 - MIRROR NEGS"),
    ("PQ", "DISPLAY - CIE-XYZ-D65_to_REC.2100-PQ"),
    ("HLG", "DISPLAY - CIE-XYZ-D65_to_REC.2100-HLG-1000nit"),
]
FORWARD, INVERSE = ocio.TRANSFORM_DIR_FORWARD, ocio.TRANSFORM_DIR_INVERSE


def through(rows, *steps):
    group = ocio.GroupTransform()
    for name, direction in steps:
        group.appendTransform(ocio.BuiltinTransform(name, direction))
    processor = ocio.Config.CreateRaw().getProcessor(group)
    cpu = processor.getOptimizedCPUProcessor(ocio.BIT_DEPTH_F32, ocio.BIT_DEPTH_F32, ocio.OPTIMIZATION_LOSSLESS)
    out = rows.copy()
    cpu.applyRGB(out)
    return out


def lattice(ticks, greys):
    rows = list(itertools.product(ticks, repeat=3)) + [(v, v, v) for v in greys]
    return np.array(rows, dtype=np.float32)


def write(what, way, rows, out):
    for a, b in zip(rows, out):
        print(what, way, *(repr(float(v)) for v in (*a, *b)), sep="\t")


def inside(what, way, rows, out):
    """Leaves out what the library cuts off and the published formulas do not."""
    if what in ("C-Log2", "C-Log3"):
        # A table from code 0 to 1 stands for these curves.
        code = rows if way == "decode" else out
        return ((code >= 0) & (code <= 1)).all(axis=1) & ((code > 0) & (code < 1) | (way == "decode")).all(axis=1)
    if what == "ACEScc":
        # Light below zero on ACES2065-1 is cut off on its way in and out; no light has a code of -0.36 there, where the
        # Academy's equation 1 gives -0.3584.
        light = out if way == "decode" else rows
        return (light > 0).all(axis=1) & ((way == "decode") | (out > -0.3585)).all(axis=1)
    return np.full(len(rows), True)


def scene():
    codes = lattice(np.linspace(-0.05, 1.05, 12), np.linspace(-0.05, 1.05, 221))
    # Colours to 1, greys beyond: a channel of nothing beside one of nine is below a single float.
    light = lattice([-0.01, -0.001, 0.0, 0.004, 0.016, 0.18, 0.5, 1.0], 0.18 * np.exp2(np.linspace(-10, 8, 145)))
    for what, name in SCENE:
        for way, direction, rows in (("decode", FORWARD, codes), ("encode", INVERSE, light)):
            out = through(rows, (name, direction))
            keep = inside(what, way, rows, out)
            assert keep.sum() > 150, f"{what} {way}: {keep.sum()} rows are too few"
            write(what, way, rows[keep], out[keep])


def display():
    acescg = lattice([0.0, 0.004, 0.02, 0.1, 0.18, 0.5, 1.0], np.linspace(0, 1, 257))
    light = through(acescg, ("ACEScg_to_ACES2065-1", FORWARD))
    to_xyz = ("UTILITY - ACES-AP0_to_CIE-XYZ-D65_BFD", FORWARD)
    luminance = through(light, to_xyz)[:, 1]
    for what, name in DISPLAYS:
        out = through(light, to_xyz, (name, FORWARD))
        # The gain of HLG's display light has no bound at black, and everybody holds it finite in a way of their own.
        keep = (luminance > 1e-3) | (luminance == 0) | (what != "HLG")
        write(what, "display", light[keep], out[keep])


print("what", "way", "in_r", "in_g", "in_b", "out_r", "out_g", "out_b", sep="\t")
{"scene": scene, "display": display}[sys.argv[1]]()
