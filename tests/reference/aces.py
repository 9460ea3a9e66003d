"""The ACES 2 output transforms, by OpenColorIO's own: aces_output, aces2_tonescale."""

import math

import numpy as np
import PyOpenColorIO as ocio

import outside_aces
from table import Table

# Greys, patches of the 24-patch chart, and colours that no display holds, on ACES2065-1.
INPUTS = [
    *((f"grey {v}", (v, v, v)) for v in (0.0, 0.045, 0.18, 1.0, 2.0, 16.0)),
    ("dark skin", (0.11877, 0.08709, 0.05895)),
    ("light skin", (0.40002, 0.31916, 0.23736)),
    ("chart blue", (0.08732, 0.07443, 0.27274)),
    ("chart green", (0.15366, 0.25692, 0.09071)),
    ("chart red", (0.21742, 0.0707, 0.0513)),
    ("chart yellow", (0.58919, 0.53943, 0.09157)),
    ("chart cyan", (0.14901, 0.23378, 0.35939)),
    ("bright red 8x", (1.74, 0.57, 0.41)),
    ("AP1 red", (0.6954522414, 0.0447945634, -0.0055258826)),
    ("AP1 blue x2", (0.3277381244, 0.1910686364, 2.0030013446)),
    ("negative", (-0.05, 0.1, 0.2)),
]
# Academy documentation, output transforms, tone mapping: nits of ACES 0.18, 1 and 2.
PUBLISHED = {
    100: (10.0, 45.757, 63.988),
    500: (13.193, 89.098, 158.949),
    1000: (14.512, 106.564, 205.783),
    2000: (15.747, 121.664, 248.779),
    4000: (16.824, 133.883, 284.433),
}


def aces_output():
    light = np.array([rgb for _, rgb in INPUTS], dtype=np.float32)
    rows = []
    for output, display in [*outside_aces.OUTPUTS, ("HDR-1000nit-P3-D65", "HLG")]:
        steps = (f"ACES-OUTPUT - ACES2065-1_to_CIE-XYZ-D65 - {output}_2.0", outside_aces.curve(display))
        group = ocio.GroupTransform()
        for step in steps:
            group.appendTransform(ocio.BuiltinTransform(step, outside_aces.FORWARD))
        for (name, rgb), signal in zip(INPUTS, outside_aces.through(light, group)):
            rows.append([output, display, name, *rgb, *(float(v) for v in signal)])
    return Table(
        "aces_output.tsv", f"OpenColorIO {ocio.__version__}, built-in ACES 2 output transforms, lossless optimisation, single floats",
        ["output", "display", "input", "aces_r", "aces_g", "aces_b", "r_f32", "g_f32", "b_f32"], rows,
        ("input ACES2065-1, output the display's signal; PQ and HLG (of 1000 nits) on BT.2020",),
    )


def tone_scale(scene, peak):
    """Nits of a grey; the constants are those of the Academy's Lib.Academy.Tonescale."""
    n, g, toe = peak / 100, 1.15, 0.04
    hit = 128 + (896 - 128) * math.log(n) / math.log(100)
    lifted = lambda light: 0.5 * (light + math.sqrt(light * (light + 4 * toe)))
    m1 = lifted(n)
    m = m1 / (hit / m1 / (hit / m1 + 1)) ** g
    share = (lifted(0.10013 * (1 + 0.14 * math.log2(n))) / m) ** (1 / g)
    w2 = 0.18 / (-m1 * share / (share - 1))
    m2 = m1 / (hit / m1 / (hit / m1 + w2)) ** g
    f = m2 * (scene / (scene + w2 * m1)) ** g
    return 100 * max(0.0, f * f / (f + toe))


def aces2_tonescale():
    rows = [[peak, 0.0, 0.0, tone_scale(0.0, peak)] for peak in PUBLISHED]
    rows += [[peak, scene, nits, tone_scale(scene, peak)] for peak, row in PUBLISHED.items() for scene, nits in zip((0.18, 1.0, 2.0), row)]
    return Table(
        "aces2_tonescale.tsv", "Academy documentation, output transforms, tone mapping (published_nits); aces-core CTL, Lib.Academy.Tonescale (nits)",
        ["peak_nits", "scene", "published_nits", "nits"], rows,
        ("scene is ACES2065-1 of a grey",),
    )


TABLES = [aces_output, aces2_tonescale]
