"""Test signals for the scopes: scopes, bt2111_bars, rp219_bars."""

import math

import colour
import numpy as np
from colour import models
from range_codes import code
from table import Table

D65 = (0.3127, 0.3290)
BARS = {
    "white": (1, 1, 1), "yellow": (1, 1, 0), "cyan": (0, 1, 1), "green": (0, 1, 0),
    "magenta": (1, 0, 1), "red": (1, 0, 0), "blue": (0, 0, 1), "black": (0, 0, 0),
}
WEIGHTS = {"BT.601": "ITU-R BT.601", "BT.709": "ITU-R BT.709", "BT.2020": "ITU-R BT.2020"}


def legal(value):
    return code(10, 876, 64, value)


def difference(matrix, rgb):
    """Y, Cb and Cr as signal, by the library."""
    weights = colour.WEIGHTS_YCBCR[WEIGHTS[matrix]]
    y, cb, cr = colour.RGB_to_YCbCr(np.array(rgb, float), K=weights, out_legal=False)
    return float(y), float(cb), float(cr)


def angle(cb, cr):
    return math.degrees(math.atan2(cr, cb)) % 360


def scopes():
    rows = []
    for matrix in WEIGHTS:
        for level in (1.0, 0.75):
            for name, bar in BARS.items():
                rgb = [level * v for v in bar]
                y, cb, cr = difference(matrix, rgb)
                coloured = name not in ("white", "black")
                rows.append([
                    matrix, "bar", f"{int(level * 100)} % {name}", *rgb, *map(legal, rgb), y, cb, cr,
                    legal(y), code(10, 896, 512, cb), code(10, 896, 512, cr), angle(cb, cr) if coloured else "",
                ])
        # 123 degrees in the analogue plane of U = 0.492111 (B - Y), V = 0.877283 (R - Y), carried over.
        kr, kb = colour.WEIGHTS_YCBCR[WEIGHTS[matrix]]
        cb = math.cos(math.radians(123)) / 0.492111 / (2 * (1 - kb))
        cr = math.sin(math.radians(123)) / 0.877283 / (2 * (1 - kr))
        rows.append([matrix, "I axis", "123 degrees of U, V", *[""] * 6, "", cb, cr, "", "", "", angle(cb, cr)])
    space = colour.RGB_COLOURSPACES["ITU-R BT.709"]
    chart = colour.CCS_COLOURCHECKERS["ColorChecker24 - After November 2014"]
    for patch in ("dark skin", "light skin"):
        adapted = colour.adaptation.chromatic_adaptation_VonKries(
            colour.xyY_to_XYZ(chart.data[patch]), colour.xy_to_XYZ(chart.illuminant), colour.xy_to_XYZ(D65), transform="Bradford")
        light = colour.XYZ_to_RGB(adapted, space, illuminant=D65, chromatic_adaptation_transform=None)
        rgb = [float(v) for v in models.eotf_inverse_BT1886(light)]
        y, cb, cr = difference("BT.709", rgb)
        rows.append(["BT.709", "skin", patch, *rgb, *map(legal, rgb), y, cb, cr, legal(y), "", "", angle(cb, cr)])
    return Table(
        "scopes.tsv",
        "Rec. ITU-R BT.601-7 items 2.5.1 to 2.5.3, BT.709-6 items 3.2 and 3.3, BT.2020-2 table 4, by colour-science; bars 100/0/100/0 and 75/0/75/0 of BT.471-1 (from memory); "
        "123 degrees: common practice, no source; skin: the library's 24-patch chart on BT.1886",
        ["matrix", "kind", "what", "R", "G", "B", "R10", "G10", "B10", "Y", "Cb", "Cr", "Y10", "Cb10", "Cr10", "degrees"], rows,
        ("Cb, Cr from -0.5 to 0.5; ten-bit columns are legal range; degrees anticlockwise from +Cb",),
    )


# Tenths of signal of the staircase, from black to white.
STAIRCASE = range(11)
# BT.2111-2, ten bits: how the range is coded, level of the main bars in percent, codes of main bars, 40 % grey, 100 % and
# black, of the near-black steps, of the staircase with both its ends, and of BT.709 colours at reference white.
SYSTEMS = {
    "HLG legal": (
        75, (721, 414, 940, 64), (48, 64, 80, 64, 99), (4, 64, 152, 239, 327, 414, 502, 590, 677, 765, 852, 940, 1019),
        ((713, 719, 316), (538, 709, 718), (512, 706, 296), (651, 286, 705), (639, 269, 164), (227, 147, 702))),
    "PQ legal": (
        58, (572, 414, 940, 64), (48, 64, 80, 64, 99), (4, 64, 152, 239, 327, 414, 502, 590, 677, 765, 852, 940, 1019),
        ((568, 571, 381), (484, 566, 571), (474, 564, 368), (536, 361, 564), (530, 350, 256), (317, 236, 562))),
    "PQ full": (
        58, (593, 409, 1023, 0), (0, 0, 20, 0, 41), (0, 0, 102, 205, 307, 409, 512, 614, 716, 818, 921, 1023, 1023),
        ((589, 592, 370), (491, 586, 592), (478, 584, 355), (551, 347, 584), (544, 334, 225), (296, 201, 582))),
}
COLOURS = ("yellow", "cyan", "green", "magenta", "red", "blue")


def at_reference_white(system, bar):
    """The signal of a BT.709 colour at reference white: 75 % of HLG's camera curve, 58 % of PQ."""
    light = colour.RGB_to_RGB(np.array(bar, float), "ITU-R BT.709", "ITU-R BT.2020", chromatic_adaptation_transform=None)
    if system.startswith("HLG"):
        return models.oetf_BT2100_HLG(light * models.oetf_inverse_BT2100_HLG(0.75))
    return models.eotf_inverse_ST2084(light * models.eotf_ST2084(0.58))


def bt2111_bars():
    rows = []
    for system, (main, levels, near_black, staircase, patches) in SYSTEMS.items():
        grey = lambda what, signal, value: rows.append([system, what, *[signal] * 3, *[value] * 3])
        for what, percent, value in zip(("main bars", "40 % grey", "100 %", "black"), (main, 40, 100, 0), levels):
            grey(what, percent / 100, value)
        for number, value in enumerate(near_black):
            grey(f"near-black step {number + 1}", "", value)
        grey("staircase below black", "", staircase[0])
        for tenth, value in zip(STAIRCASE, staircase[1:]):
            grey(f"staircase {10 * tenth} %", tenth / 10, value)
        grey("staircase above white", "", staircase[-1])
        for name, patch in zip(COLOURS, patches):
            rows.append([system, f"BT.709 {name}", *map(float, at_reference_white(system, BARS[name])), *patch])
    return Table(
        "bt2111_bars.tsv",
        "Rec. ITU-R BT.2111-2, ten-bit codes as a public generator's acceptance test prints them (secondary); signal by colour-science",
        ["system", "what", "R", "G", "B", "R10", "G10", "B10"], rows,
        ("no signal: the Recommendation gives the code", "HLG green comes out as 707 in G where the Recommendation has 706",
         "BT.709 colours: at 75 % of HLG's camera curve or 58 % of PQ, on BT.2020"),
    )


def rp219_bars():
    rows = []
    add = lambda where, what, percent, *codes: rows.append([where, what, *(v / 100 for v in percent), *codes])
    on = lambda bar, level, value: ([level * v for v in BARS[bar]], [value if v else 64 for v in BARS[bar]])
    for bar in list(BARS)[:7]:
        percent, codes = on(bar, 75, 721)
        add("row 1", f"75 % {bar}", percent, *codes)
    add("row 1", "40 % grey", [40] * 3, *[414] * 3)
    for where, bar in (("row 2", "cyan"), ("row 2", "blue"), ("row 3", "yellow"), ("row 3", "red")):
        percent, codes = on(bar, 100, 940)
        add(where, f"100 % {bar}", percent, *codes)
    add("row 2", "75 % white", [75] * 3, *[721] * 3)
    for what, percent, value in (
        ("15 % grey", 15, 195), ("black", 0, 64), ("white", 100, 940),
        ("near black -2 %", -2, 46), ("near black +2 %", 2, 82), ("near black +4 %", 4, 99),
    ):
        add("row 4", what, [percent] * 3, *[value] * 3)
    return Table(
        "rp219_bars.tsv",
        "SMPTE RP 219-1 / ARIB STD-B28, ten-bit legal codes as a public generator's acceptance test prints them (secondary)",
        ["row", "what", "R", "G", "B", "R10", "G10", "B10"], rows,
        ("signal is the percentage of the name",),
    )


TABLES = [scopes, bt2111_bars, rp219_bars]
