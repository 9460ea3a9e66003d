"""Transfer functions: transfer_functions, log_breaks, logc3_ei, stops, pq_hlg."""

import math

import colour
import numpy as np
from colour import models
from colour.models.rgb.transfer_functions import arri
from table import Table

# Our id, the document, encoder and decoder of the library.
LOGS = [
    ("LogC3", "ARRI 2012, ALEXA Log C Curve - Usage in VFX, SUP 3.x, EI 800", models.log_encoding_ARRILogC3, models.log_decoding_ARRILogC3),
    ("LogC4", "ARRI LogC4 specification 2022", models.log_encoding_ARRILogC4, models.log_decoding_ARRILogC4),
    ("S-Log2", "Sony S-Log2 Technical Paper 2012", models.log_encoding_SLog2, models.log_decoding_SLog2),
    ("S-Log3", "Sony S-Log3 Technical Summary", models.log_encoding_SLog3, models.log_decoding_SLog3),
    ("V-Log", "Panasonic V-Log/V-Gamut 2014", models.log_encoding_VLog, models.log_decoding_VLog),
    ("C-Log2", "Canon input transform 202007 (v1.2 constants)", models.log_encoding_CanonLog2, models.log_decoding_CanonLog2),
    ("C-Log3", "Canon input transform 202007 (v1.2 constants)", models.log_encoding_CanonLog3, models.log_decoding_CanonLog3),
    ("F-Log", "F-Log Data Sheet Ver.1.1", models.log_encoding_FLog, models.log_decoding_FLog),
    ("F-Log2", "F-Log2 Data Sheet Ver.1.0", models.log_encoding_FLog2, models.log_decoding_FLog2),
    ("N-Log", "N-Log Specification Document 2018", models.log_encoding_NLog, models.log_decoding_NLog),
    ("D-Log", "DJI White Paper on D-Log and D-Gamut 2017", models.log_encoding_DJIDLog, models.log_decoding_DJIDLog),
    ("Apple-Log", "Apple Log Profile White Paper 2023", models.log_encoding_AppleLogProfile, models.log_decoding_AppleLogProfile),
    ("ACEScc", "Academy S-2014-003", models.log_encoding_ACEScc, models.log_decoding_ACEScc),
    ("ACEScct", "Academy S-2016-001", models.log_encoding_ACEScct, models.log_decoding_ACEScct),
    ("Printing-Density", "685/95/300 conversion of 10-bit film scans, Kodak 1995 practice", models.log_encoding_Cineon, models.log_decoding_Cineon),
]
# 10-bit codes of 0, 18 and 90 % as the makers' papers print them.
PUBLISHED_CODES = {
    "S-Log2": (90, 347, 582), "S-Log3": (95, 420, 598), "V-Log": (128, 433, 602),
    "F-Log": (95, 470, 705), "F-Log2": (95, 400, 570),
}
LIGHT = [-0.01, -0.001, 0.0, 0.001, 0.002, 0.005, 0.01, 0.02, 0.045, 0.09, 0.18, 0.36, 0.72, 0.9, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0]
CODES = [-0.05, 0.0, 0.02, 0.05, 0.09, 0.1, 0.12, 0.15, 0.2, 0.3, 0.4, 0.45, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.05]
# Where each encoder changes its formula, in linear light.
BREAKS = {
    "LogC3": 0.010591, "LogC4": -0.0180569961199113, "S-Log3": 0.01125, "V-Log": 0.01, "C-Log3": 0.014 * 0.9, "F-Log": 0.00089,
    "F-Log2": 0.000889, "N-Log": 0.328, "D-Log": 0.0078, "Apple-Log": 0.01, "ACEScct": 0.0078125,
}


def half_up(value):
    return math.floor(value + 0.5)


def curve(name):
    return next((encode, decode) for id, _, encode, decode in LOGS if id == name)


def transfer_functions():
    rows = []
    for name, document, encode, decode in LOGS:
        for x in LIGHT:
            # The formula of printing density has a logarithm of a negative number just below black.
            if name == "Printing-Density" and x < 0:
                continue
            y = float(encode(x))
            published = PUBLISHED_CODES[name][(0.0, 0.18, 0.9).index(x)] if name in PUBLISHED_CODES and x in (0.0, 0.18, 0.9) else ""
            rows.append([name, "encode", x, y, half_up(y * 1023), published, document])
        for y in CODES:
            # Far below black the logarithm of printing density only nears its asymptote.
            if name == "Printing-Density" and y < 0:
                continue
            rows.append([name, "decode", y, float(decode(y)), "", "", document])
    rows += video_rows()
    return Table(
        "transfer_functions.tsv", "per-row column 'document'; evaluated with colour-science in double",
        ["curve", "kind", "input", "output", "code10_full", "published_code10", "document"], rows,
        ("encode: from linear light to signal, code / 1023; decode: from signal to linear light",
         "scene light is reflectance: 0.18 is the grey card; code10 rounds half up"),
    )


def video_rows():
    ramp = [0.0, 0.001, 0.0031308, 0.018, 0.02, 0.1, 0.18, 0.5, 0.9, 1.0]
    signals = [0.0, 0.01, 0.04045, 0.081, 0.1, 0.25, 0.409, 0.5, 0.75, 0.9, 1.0]
    curves = [
        ("BT.709", "encode", "Rec. ITU-R BT.709-6 item 1.2", models.oetf_BT709, ramp),
        ("sRGB", "encode", "IEC 61966-2-1:1999", models.eotf_inverse_sRGB, ramp),
        ("sRGB", "decode", "IEC 61966-2-1:1999", models.eotf_sRGB, signals),
    ]
    for exponent in (2.2, 2.4, 2.6):
        curves.append((f"gamma {exponent}", "decode", "pure power law", lambda v, g=exponent: v**g, signals))
    for black in (0, 0.01, 0.1):
        curves.append((f"BT.1886 100/{black} nits", "decode", "Rec. ITU-R BT.1886 annex 1; output in nits",
                       lambda v, b=black: models.eotf_BT1886(v, L_B=b, L_W=100), signals))
    return [[name, kind, x, float(f(x)), "", "", document] for name, kind, document, f, inputs in curves for x in inputs]


def log_breaks():
    rows = []
    for name, light in BREAKS.items():
        encode, decode = curve(name)
        nudge = abs(light) * 1e-12
        below, above = float(encode(light - nudge)), float(encode(light + nudge))
        worst = max(abs(float(decode(float(encode(x)))) - x) for x in np.linspace(light * 0.98, light * 1.02, 401))
        rows.append([name, light, below, above, (above - below) * 1023, worst])
    return Table(
        "log_breaks.tsv",
        "computed from the published constants: the encoder's step at its break and the worst decode(encode(x)) - x within 2 % of it",
        ["curve", "linear_break", "encode_below", "encode_above", "step_in_10bit_codes", "worst_roundtrip_error_near_break"], rows,
        ("published constants are rounded, so small steps are normal; decoders change at the published code, which is not always encode(break)",),
    )


def logc3_ei():
    rows = []
    table = arri.DATA_ALEXA_LOG_C_CURVE_CONVERSION["SUP 3.x"]["Linear Scene Exposure Factor"]
    for index, constants in table.items():
        encoded = [float(models.log_encoding_ARRILogC3(x, EI=index)) for x in (0.0, 0.18, 0.9)]
        rows.append([index, *constants, *encoded, float(models.log_decoding_ARRILogC3(1.0, EI=index))])
    return Table(
        "logc3_ei.tsv", "ARRI 2012, ALEXA Log C Curve - Usage in VFX, table for SUP 3.x, via colour-science",
        ["exposure_index", "cut", "a", "b", "c", "d", "e", "f", "e_cut_plus_f", "code_of_0", "code_of_0.18", "code_of_0.90", "linear_at_1"], rows,
        ("code = c log10(a x + b) + d for x > cut, else e x + f",
         "above 1600 the camera adds a knee that this equation does not describe"),
    )


def stops():
    rows = []
    for name, _, encode, _ in LOGS:
        for stop in range(-8, 9):
            x = 0.18 * 2.0**stop
            rows.append([name, stop, x, float(encode(x))])
    return Table("stops.tsv", "computed: 0.18 * 2^stops through each curve of transfer_functions.tsv",
                 ["curve", "stops_from_grey", "linear", "code"], rows)


def pq_hlg():
    pq = lambda nits: float(models.eotf_inverse_ST2084(nits))
    hlg = lambda light: float(models.oetf_BT2100_HLG(light))
    hlg_inverse = lambda code: float(models.oetf_inverse_BT2100_HLG(code))
    narrow, full = lambda v: half_up(876 * v + 64), lambda v: half_up(1023 * v)
    rows = []
    for nits in (0, 0.0001, 0.001, 0.005, 0.01, 0.05, 0.1, 0.5, 1, 5, 10, 18, 20, 26, 30, 40, 48, 50, 65, 85, 100, 108, 110, 162, 179, 200, 203, 300, 400, 500, 600, 1000, 1600, 2000, 4000, 10000):
        rows.append(["PQ: nits to signal", nits, pq(nits), full(pq(nits)), narrow(pq(nits)), ""])
    for code in (0.0, 0.1, 0.25, 0.38, 0.5, 0.58, 0.75, 0.9, 1.0):
        rows.append(["PQ: signal to nits", code, float(models.eotf_ST2084(code)), "", "", ""])
    for light in (0, 1 / 1200, 0.01, 0.0477, 1 / 12, 0.1, 0.18, 0.2, 0.26496256042100724, 0.5, 0.75, 1.0):
        rows.append(["HLG: scene light to signal", light, hlg(light), full(hlg(light)), narrow(hlg(light)), ""])
    for code in (0.0, 0.1, 0.38, 0.5, 0.71, 0.73, 0.75, 0.9, 1.0):
        rows.append(["HLG: signal to scene light", code, hlg_inverse(code), "", "", ""])
    for peak in (400, 500, 600, 800, 1000, 1500, 2000, 4000):
        rows.append(["HLG system gamma at a peak in nits", peak, 1.2 + 0.42 * math.log10(peak / 1000), "", "", 1.2 * 1.111 ** math.log2(peak / 1000)])
    for rgb in ((1, 0, 0), (0, 1, 0), (0, 0, 1), (0.4, 0.2, 0.1), (0.26496256042100724,) * 3):
        nits = models.ootf_BT2100_HLG(np.array(rgb, float), L_B=0, L_W=1000, gamma=1.2)
        rows.append(["HLG: scene light to nits at 1000 nits", *(" ".join(repr(float(v)) for v in triple) for triple in (rgb, nits)), "", "", ""])
    rows += hlg_display_rows()
    return Table(
        "pq_hlg.tsv", "SMPTE ST 2084:2014; Rec. ITU-R BT.2100-2 tables 4 and 5; Report ITU-R BT.2408 table 1, recomputed",
        ["what", "input", "output", "code10_full", "code10_legal", "extra"], rows,
        ("HLG with b = 1 - 4 a and c = 0.5 - a ln(4 a) in full; BT.2100 prints b = 0.28466892 and c = 0.55991073",
         "gamma rows: output is BT.2100's formula for 400 to 2000 nits, extra is BT.2390's for all: 1.2 * 1.111 ^ log2(peak / 1000)",
         "signal of grey to nits: with the gamma that holds at that peak; BT.2408 rows: extra is nits on a display of 1000",
         "legal code = floor(876 v + 64 + 0.5), full code = floor(1023 v + 0.5)"),
    )


def hlg_gamma(peak):
    inside = 400 <= peak <= 2000
    return 1.2 + 0.42 * math.log10(peak / 1000) if inside else 1.2 * 1.111 ** math.log2(peak / 1000)


def hlg_display_rows():
    """Grey of the signal on a display, and the signals of BT.2408's levels, by BT.2100's own formulas."""
    full, narrow = lambda v: half_up(1023 * v), lambda v: half_up(876 * v + 64)
    rows = []
    for peak, black in ((1000, 0), (400, 0), (2000, 0), (4000, 0), (1000, 0.005), (600, 0.05)):
        gamma = hlg_gamma(peak)
        lift = math.sqrt(3 * (black / peak) ** (1 / gamma))
        for code in (0.0, 0.25, 0.38, 0.5, 0.71, 0.73, 0.75, 0.9, 1.0):
            scene = float(models.oetf_inverse_BT2100_HLG((1 - lift) * code + lift))
            rows.append([f"HLG: signal of grey to nits at {peak} nits, black {black}", code, peak * scene**gamma, "", "", ""])
    for nits in (10, 26, 30, 40, 65, 85, 110, 162, 179, 203):
        signal = float(models.oetf_BT2100_HLG((nits / 1000) ** (1 / 1.2)))
        rows.append(["HLG: nits of grey to signal at 1000 nits", nits, signal, full(signal), narrow(signal), ""])
    # BT.2408 table 1: cards of a scene whose 100 % is the light of 75 % HLG.
    white = float(models.oetf_inverse_BT2100_HLG(0.75))
    for share in (0.18, 0.83, 0.9, 1.0):
        signal, nits = float(models.oetf_BT2100_HLG(white * share)), 1000 * (white * share) ** 1.2
        rows.append(["BT.2408 table 1: card to HLG signal", share, signal, full(signal), narrow(signal), nits])
        signal = float(models.eotf_inverse_ST2084(nits))
        rows.append(["BT.2408 table 1: card to PQ signal", share, signal, full(signal), narrow(signal), nits])
    return rows


TABLES = [transfer_functions, log_breaks, logc3_ei, stops, pq_hlg]
