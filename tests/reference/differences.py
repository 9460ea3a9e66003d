"""Uniform spaces and colour differences: ciede2000, ictcp, delta_e_itp, oklab, uniform_spaces."""

import colour
import numpy as np
from colorimetry import BT709, D65, xyz_from_rgb, xyz_from_xy
from table import Table

# Sharma, Wu, Dalal 2005, table 1: two Lab colours and their published difference.
SHARMA = """50 2.6772 -79.7751 50 0 -82.7485 2.0425
50 3.1571 -77.2803 50 0 -82.7485 2.8615
50 2.8361 -74.0200 50 0 -82.7485 3.4412
50 -1.3802 -84.2814 50 0 -82.7485 1.0000
50 -1.1848 -84.8006 50 0 -82.7485 1.0000
50 -0.9009 -85.5211 50 0 -82.7485 1.0000
50 0 0 50 -1 2 2.3669
50 -1 2 50 0 0 2.3669
50 2.4900 -0.0010 50 -2.4900 0.0009 7.1792
50 2.4900 -0.0010 50 -2.4900 0.0010 7.1792
50 2.4900 -0.0010 50 -2.4900 0.0011 7.2195
50 2.4900 -0.0010 50 -2.4900 0.0012 7.2195
50 -0.0010 2.4900 50 0.0009 -2.4900 4.8045
50 -0.0010 2.4900 50 0.0010 -2.4900 4.8045
50 -0.0010 2.4900 50 0.0011 -2.4900 4.7461
50 2.5000 0 50 0 -2.5000 4.3065
50 2.5000 0 73 25 -18 27.1492
50 2.5000 0 61 -5 29 22.8977
50 2.5000 0 56 -27 -3 31.9030
50 2.5000 0 58 24 15 19.4535
50 2.5000 0 50 3.1736 0.5854 1.0000
50 2.5000 0 50 3.2972 0 1.0000
50 2.5000 0 50 1.8634 0.5757 1.0000
50 2.5000 0 50 3.2592 0.3350 1.0000
60.2574 -34.0099 36.2677 60.4626 -34.1751 39.4387 1.2644
63.0109 -31.0961 -5.8663 62.8187 -29.7946 -4.0864 1.2630
61.2901 3.7196 -5.3901 61.4292 2.2480 -4.9620 1.8731
35.0831 -44.1164 3.7933 35.0232 -40.0716 1.5901 1.8645
22.7233 20.0904 -46.6940 23.0331 14.9730 -42.5619 2.0373
36.4612 47.8580 18.3852 36.2715 50.5065 21.2231 1.4146
90.8027 -2.0831 1.4410 91.1528 -1.6435 0.0447 1.4441
90.9257 -0.5406 -0.9208 88.6381 -0.8985 -0.7239 1.5381
6.7747 -0.2908 -2.4247 5.8714 -0.0985 -2.2286 0.6377
2.0776 0.0795 -1.1350 0.9033 -0.0636 -0.5514 0.9082"""
# Linear BT.2020 RGB in nits.
PATCHES = [
    ("black", (0, 0, 0)), ("0.1 grey", (0.1, 0.1, 0.1)), ("grey 18", (18, 18, 18)), ("white 100", (100, 100, 100)),
    ("white 203", (203, 203, 203)), ("white 1000", (1000, 1000, 1000)), ("white 10000", (10000, 10000, 10000)),
    ("red 203", (203, 0, 0)), ("green 203", (0, 203, 0)), ("blue 203", (0, 0, 203)), ("skin-like", (80, 55, 42)),
    ("orange 600", (600, 250, 20)), ("cyan 40", (2, 40, 38)),
]
# Pairs in ICtCp with the difference that colour-science's own tests publish.
ITP_PAIRS = [
    ("dark skin", (0.4885468072, -0.04739350675, 0.07475401302), (0.4899203231, -0.04567508203, 0.07361341775), 1.426572247),
    ("100% white", (0.7538438727, 0, -6.25e-16), (0.7538912244, 0.001930922514, -0.0003599955951), 0.7426668055),
    ("100% black", (0.1596179061, 0, -1.21e-16), (0.1603575152, 0.02881444889, -0.009908665843), 12.60096264),
    ("100% red", (0.5965650331, -0.2083210482, 0.3699729716), (0.596263079, -0.1629742033, 0.3617767026), 17.36012552),
    ("100% green", (0.7055787513, -0.4063731514, -0.07278767382), (0.7046946082, -0.3771037586, -0.07141626753), 10.60227327),
    ("100% blue", (0.5180652611, 0.2932420978, -0.1873112695), (0.5167090868, 0.298191609, -0.1824609953), 4.040270489),
    ("100% cyan", (0.7223275939, -0.01290632441, -0.1139004748), (0.7215329274, -0.007863821961, -0.1106683944), 3.00633812),
    ("100% magenta", (0.6401125212, 0.280225698, 0.1665590804), (0.640473651, 0.2819981563, 0.1654050172), 1.07944277),
    ("100% yellow", (0.7413041405, -0.3638807621, 0.04959414794), (0.7412815181, -0.3299076141, 0.04545287368), 12.5885645),
]


def floats(values):
    return [float(v) for v in values]


def ciede2000():
    rows = []
    for number, line in enumerate(SHARMA.splitlines(), 1):
        v = [float(x) for x in line.split()]
        # Pair 14 sits on the branch at 180 degrees, where an ulp decides: its computed value is left to the paper.
        computed = "" if number == 14 else float(colour.delta_E(v[0:3], v[3:6], method="CIE 2000"))
        rows.append([number, *v[:6], v[6], computed])
    return Table(
        "ciede2000.tsv", "Sharma, Wu, Dalal (2005), Color Res. Appl. 30(1), table 1 (published to 4 decimals)",
        ["pair", "L1", "a1", "b1", "L2", "a2", "b2", "published", "computed"], rows,
        ("pair 14 sits exactly on the branch of a hue difference of 180 degrees: 4.8045 and 4.7461 are both right there",
         "computed: colour-science in double"),
    )


def ictcp():
    rows = []
    for name, rgb in PATCHES:
        rows.append(["PQ", name, *floats(rgb), *floats(colour.RGB_to_ICtCp(np.array(rgb, float), method="ITU-R BT.2100-2 PQ"))])
    for name, rgb in (("grey 0.18", (0.18,) * 3), ("white 1", (1, 1, 1)), ("white 0.26496", (0.26496256042100724,) * 3), ("red", (1, 0, 0)), ("mix", (0.4, 0.2, 0.1))):
        rows.append(["HLG", name, *floats(rgb), *floats(colour.RGB_to_ICtCp(np.array(rgb, float), method="ITU-R BT.2100-2 HLG"))])
    return Table("ictcp.tsv", "Rec. ITU-R BT.2100-2 table 7, by colour-science", ["system", "patch", "R", "G", "B", "I", "Ct", "Cp"], rows,
                 ("PQ: linear BT.2020 in nits; HLG: scene light 0..1",))


def delta_e_itp():
    difference = lambda a, b: float(colour.difference.delta_E_ITP(a, b))
    rows = [[name, *floats(a), *floats(b), published, difference(a, b)] for name, a, b, published in ITP_PAIRS]
    to_ictcp = lambda rgb: floats(colour.RGB_to_ICtCp(rgb, method="ITU-R BT.2100-2 PQ"))
    for name, rgb in PATCHES[2:6]:
        for gain in (1.01, 1.05):
            a, b = to_ictcp(np.array(rgb, float)), to_ictcp(np.array(rgb, float) * gain)
            rows.append([f"{name} x {gain}", *a, *b, "", difference(a, b)])
    return Table(
        "delta_e_itp.tsv", "Rec. ITU-R BT.2124: 720 sqrt(dI^2 + (0.5 dCt)^2 + dCp^2); published: the values of colour-science's test suite",
        ["pair", "I1", "Ct1", "Cp1", "I2", "Ct2", "Cp2", "published", "computed"], rows,
    )


def oklab():
    rows = []
    for name, xyz, published in (("D65-like white", (0.950, 1.000, 1.089), "1.000 0.000 0.000"), ("X", (1, 0, 0), "0.450 1.236 -0.019"),
                                 ("Y", (0, 1, 0), "0.922 -0.671 0.263"), ("Z", (0, 0, 1), "0.153 -1.415 -0.449")):
        rows.append([name, *floats(xyz), *floats(colour.XYZ_to_Oklab(xyz)), published])
    to_xyz = xyz_from_rgb(BT709, D65)
    for name, rgb in (("BT.709 white", (1, 1, 1)), ("BT.709 grey", (0.18,) * 3), ("BT.709 red", (1, 0, 0)), ("BT.709 green", (0, 1, 0)), ("BT.709 blue", (0, 0, 1)), ("skin-like", (0.4, 0.26, 0.19))):
        xyz = to_xyz @ np.array(rgb, float)
        rows.append([name, *floats(xyz), *floats(colour.XYZ_to_Oklab(xyz)), ""])
    return Table("oklab.tsv", "B. Ottosson, A perceptual color space for image processing (2020), by colour-science; XYZ with D65 white at Y = 1",
                 ["what", "X", "Y", "Z", "L", "a", "b", "published"], rows,
                 ("published: the table in the article, to 3 decimals",))


def uniform_spaces():
    rows = []
    white = xyz_from_xy(D65)
    for name, xyz in (("D65", white), ("grey 0.18", white * 0.18), ("sample", np.array([0.20654008, 0.12197225, 0.05136952]))):
        uv = colour.Luv_to_uv(colour.XYZ_to_Luv(xyz, D65), D65)
        rows.append(["u'v'", name, *floats(xyz), *floats(uv), ""])
        rows.append(["Lab", name, *floats(xyz), *floats(colour.XYZ_to_Lab(xyz, D65))])
    return Table("uniform_spaces.tsv", "CIE 15:2018 (u'v', Lab against D65), by colour-science", ["space", "what", "X", "Y", "Z", "c1", "c2", "c3"], rows)


TABLES = [ciede2000, ictcp, delta_e_itp, oklab, uniform_spaces]
