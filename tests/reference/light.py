"""Spaces and whites: primaries, matrices, adaptation, white_balance (two), cct_duv, daylight_locus, illuminants."""

import colour
import numpy as np
from colorimetry import (ACES_WHITE, AP1, BT709, BT2020, CATS, D65, WHITES, adaptation, offset_uv, uv_from_xy, xy_from_uv,
                         xyz_from_rgb, xyz_from_xy)
from table import MATRIX_COLUMNS, Table

# Our name, the library's name, the document.
SPACES = [
    ("AP0", "ACES2065-1", "SMPTE ST 2065-1:2021"),
    ("AP1", "ACEScg", "Academy S-2014-004"),
    ("BT.709", "ITU-R BT.709", "Rec. ITU-R BT.709-6"),
    ("BT.2020", "ITU-R BT.2020", "Rec. ITU-R BT.2020-2"),
    ("P3-D65", "P3-D65", "SMPTE RP 431-2 primaries, EG 432-1 white"),
    ("ARRI Wide Gamut 3", "ARRI Wide Gamut 3", "ARRI ALEXA Log C Curve - Usage in VFX (2012/2017)"),
    ("ARRI Wide Gamut 4", "ARRI Wide Gamut 4", "ARRI LogC4 Logarithmic Color Space Specification (2022)"),
    ("S-Gamut", "S-Gamut", "Sony S-Log2 Technical Paper (2012)"),
    ("S-Gamut3", "S-Gamut3", "Sony Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3"),
    ("S-Gamut3.Cine", "S-Gamut3.Cine", "Sony Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3"),
    ("V-Gamut", "V-Gamut", "Panasonic VARICAM V-Log/V-Gamut (2014)"),
    ("Cinema Gamut", "Cinema Gamut", "Canon Cinema Gamut white paper / input transform 201612"),
    ("F-Gamut", "F-Gamut", "Fujifilm F-Log Data Sheet Ver.1.1"),
    ("D-Gamut", "DJI D-Gamut", "DJI White Paper on D-Log and D-Gamut (2017)"),
    ("N-Gamut", "N-Gamut", "Nikon N-Log Specification Document (2018): BT.2020 primaries"),
]
# Lights for white balance: kelvin and Duv.
LIGHTS = [(2856, 0.0), (3200, 0.0), (3200, 0.004), (4300, 0.0), (5600, 0.0), (5600, -0.005), (6500, 0.0), (7500, 0.003), (10000, 0.0)]


def chromaticities(library_name):
    space = colour.RGB_COLOURSPACES[library_name]
    return np.array(space.primaries), np.array(space.whitepoint)


def primaries():
    rows = []
    for name, library_name, document in SPACES:
        p, white = chromaticities(library_name)
        rows.append([name, *p.ravel(), *white, document])
    return Table("primaries.tsv", "document named in column 'document', figures via colour-science",
                 ["space", "rx", "ry", "gx", "gy", "bx", "by", "wx", "wy", "document"], rows)


def matrices():
    from_xyz = {name: np.linalg.inv(xyz_from_rgb(*chromaticities(library))) for name, library in (("AP0", "ACES2065-1"), ("AP1", "ACEScg"))}
    from_xyz["BT.709"], from_xyz["BT.2020"] = (np.linalg.inv(xyz_from_rgb(p, D65)) for p in (BT709, BT2020))
    white_of = {"AP0": ACES_WHITE, "AP1": ACES_WHITE, "BT.709": D65, "BT.2020": D65}
    rows = []
    for name, library_name, _ in SPACES:
        p, white = chromaticities(library_name)
        to_xyz = xyz_from_rgb(p, white)
        rows.append([name, "XYZ", "", *to_xyz.ravel()])
        for target, method in [(t, m) for t in ("AP0", "AP1") for m in ("CAT02", "Bradford")] + [("BT.709", "Bradford"), ("BT.2020", "Bradford")]:
            m = from_xyz[target] @ adaptation(tuple(white), white_of[target], method) @ to_xyz
            rows.append([name, target, method, *m.ravel()])
    return Table("matrices.tsv", "computed in double from primaries.tsv with SMPTE RP 177 and von Kries style adaptation",
                 ["from", "to", "adaptation", *MATRIX_COLUMNS], rows, ("row-major, column vectors: out = M in",))


def adaptation_table():
    whites = {name: WHITES[name] for name in ("A", "D50", "D55", "D60", "D65", "FL2")} | {"ACES": ACES_WHITE, "DCI": (0.314, 0.351)}
    pairs = [("A", "D65"), ("D50", "D65"), ("D65", "D50"), ("D55", "D65"), ("ACES", "D65"), ("D65", "ACES"), ("D65", "A"), ("FL2", "D65"), ("DCI", "D65")]
    vector = np.array([0.20654008, 0.12197225, 0.05136952])
    rows = []
    for method in CATS:
        for source, target in pairs:
            m = colour.adaptation.matrix_chromatic_adaptation_VonKries(xyz_from_xy(whites[source]), xyz_from_xy(whites[target]), transform=method)
            rows.append([method, source, *map(float, whites[source]), target, *map(float, whites[target]), *m.ravel(), *(m @ vector)])
    return Table(
        "adaptation.tsv",
        "colour-science's von Kries adaptation; Bradford (Lam 1985), CAT02 (CIE 159:2004), CAT16 (Li et al. 2017), von Kries (Hunt-Pointer-Estevez normalised to D65)",
        ["method", "from", "from_x", "from_y", "to", "to_x", "to_y", *MATRIX_COLUMNS, "X", "Y", "Z"], rows,
        ("full adaptation, white Y = 1", "X Y Z: the vector 0.20654008 0.12197225 0.05136952 adapted"),
    )


def white_balance():
    """The source adapted to the ACES white, as one matrix on AP1."""
    return balance_table("white_balance.tsv", "the ACES white", ACES_WHITE, xyz_from_rgb(AP1, ACES_WHITE), [])


def white_balance_d65():
    """The frame of the white-balance operation: equal AP1 RGB reads as D65."""
    frame = adaptation(ACES_WHITE, D65, "Bradford") @ xyz_from_rgb(AP1, ACES_WHITE)
    return balance_table("white_balance_d65.tsv", "D65, in the frame W = Bradford(ACES white to D65) x xyz_from_rgb(AP1)", D65, frame, ["A", "FL2", "D65"])


def balance_table(file, what, target, frame, names):
    lights = [(f"{kelvin} K {duv}", xy_from_uv(offset_uv(kelvin, duv)), kelvin, duv) for kelvin, duv in LIGHTS]
    lights += [(name, tuple(map(float, WHITES[name])), "", "") for name in names]
    rows = []
    for name, xy, kelvin, duv in lights:
        for method in CATS:
            m = np.linalg.inv(frame) @ adaptation(xy, target, method) @ frame
            grey = np.linalg.inv(frame) @ (xyz_from_xy(xy) * 0.18)
            rows.append([name, kelvin, duv, *xy, method, *m.ravel(), *grey])
    return Table(
        file, f"computed: a light adapted to {what}, as one matrix on linear AP1",
        ["light", "kelvin", "duv", "x", "y", "method", *MATRIX_COLUMNS, "grey_r", "grey_g", "grey_b"], rows,
        ("grey: an 18 % neutral under the light; the matrix takes it to 0.18 in every channel",
         "c2 = 1.4388e-2 m K, CIE 1931 2 degree observer at 1 nm, 360 to 830 nm"),
    )


def cct_duv():
    rows = []
    for kelvin in (2000, 2700, 2856, 3200, 4000, 4300, 5000, 5600, 6000, 6500, 7500, 9300, 10000, 15000, 25000):
        for duv in (0.0, 0.003, -0.003, 0.01, -0.01):
            uv = offset_uv(kelvin, duv)
            ohno = colour.temperature.uv_to_CCT_Ohno2013(uv)
            rows.append([f"{kelvin} K", kelvin, duv, *uv, *xy_from_uv(uv), *map(float, ohno), 1e6 / kelvin])
    for name in ("A", "C", "D50", "D55", "D60", "D65", "D75", "ACES", "E", "FL2", "FL7", "FL11", "LED-B1", "LED-B3", "LED-B5", "LED-V1"):
        uv = uv_from_xy(WHITES[name])
        ohno = colour.temperature.uv_to_CCT_Ohno2013(uv)
        rows.append([name, "", "", *uv, *map(float, WHITES[name]), *map(float, ohno), 1e6 / float(ohno[0])])
    return Table(
        "cct_duv.tsv",
        "true columns: Planckian radiator with c2 = 1.4388e-2, offset along the normal in CIE 1960 uv; ohno columns: Ohno 2013 (LEUKOS 10:1) by colour-science",
        ["what", "true_cct", "true_duv", "u", "v", "x", "y", "ohno_cct", "ohno_duv", "mired"], rows,
        ("Duv above 0 is above the locus (greenish), ANSI C78.377",),
    )


def daylight_locus():
    rows = [[t, *map(float, colour.temperature.CCT_to_xy_CIE_D(t))]
            for t in (4000, 5000, 5003, 5503, 6000, 6504, 7000, 7504, 9300, 9305, 10000, 15000, 25000)]
    return Table("daylight_locus.tsv", "CIE 15:2018 daylight locus, 4000 to 25000 K, by colour-science", ["cct", "x", "y"], rows)


def illuminants():
    names = ["A", "B", "C", "D50", "D55", "D60", "D65", "D75", "E", "ACES", "ICC D50"]
    names += [f"FL{i}" for i in range(1, 13)] + [f"FL3.{i}" for i in range(1, 16)] + [f"HP{i}" for i in range(1, 6)]
    names += [f"LED-B{i}" for i in range(1, 6)] + ["LED-BH1", "LED-RGB1", "LED-V1", "LED-V2", "ID50", "ID65"]
    rows = [[name, *map(float, WHITES[name])] for name in names]
    rows.append(["DCI", *map(float, WHITES["DCI-P3"])])
    rows.append(["D93", *map(float, colour.temperature.CCT_to_xy_CIE_D(9300 * 1.4388 / 1.4380))])
    return Table("illuminants.tsv", "CIE 15:2018 tables (2 degree observer), SMPTE ST 2065-1, ICC.1 and RP 431-2, as stored in colour-science",
                 ["illuminant", "x", "y"], rows, ("D93 is the CIE daylight formula at 9300 * 1.4388 / 1.4380 K",))


TABLES = [primaries, matrices, adaptation_table, white_balance, white_balance_d65, cct_duv, daylight_locus, illuminants]
