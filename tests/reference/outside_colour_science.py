"""Rows through colour-science's own curves, primaries and adaptations, written as a table: what, way, three inputs, three outputs.

No figure of ours enters. `scene` gives encodings to and from ACES2065-1: the library's decoder, then its
`matrix_RGB_to_RGB` with the adaptation that facts name for the encoding. `white` adapts lights to D65 by von Kries'
method in five cone spaces.
"""

import itertools
import sys
import warnings

import colour
import numpy as np
from colour import models

# Its curves work out both sides of a break and warn of the one they drop.
warnings.filterwarnings("ignore")

# Matrices from the chromaticities in double, not as printed in the documents.
for space in colour.RGB_COLOURSPACES.values():
    space.use_derived_transformation_matrices(True)

D65 = (0.3127, 0.3290)


def gamma(exponent):
    return lambda v: np.power(v, 1 / exponent), lambda v: np.power(v, exponent)


def linear(v):
    return v


# What, RGB space of the library, adaptation, encoder, decoder, and the least code and light it is asked for.
# Video and display curves are asked for no negatives: the standards define none, and ours mirrors them.
SCENE = [
    ("S-Log2", "S-Gamut", "CAT02", models.log_encoding_SLog2, models.log_decoding_SLog2, -0.05),
    ("F-Log", "F-Gamut", "CAT02", models.log_encoding_FLog, models.log_decoding_FLog, -0.05),
    ("F-Log2", "F-Gamut", "CAT02", models.log_encoding_FLog2, models.log_decoding_FLog2, -0.05),
    ("N-Log", "N-Gamut", "CAT02", models.log_encoding_NLog, models.log_decoding_NLog, -0.05),
    ("D-Log", "DJI D-Gamut", "CAT02", models.log_encoding_DJIDLog, models.log_decoding_DJIDLog, -0.05),
    ("LogC3", "ARRI Wide Gamut 3", "CAT02", models.log_encoding_ARRILogC3, models.log_decoding_ARRILogC3, -0.05),
    ("Apple-Log", "ITU-R BT.2020", "Bradford", models.log_encoding_AppleLogProfile, models.log_decoding_AppleLogProfile, -0.05),
    ("C-Log2", "Cinema Gamut", "CAT02", models.log_encoding_CanonLog2, models.log_decoding_CanonLog2, -0.05),
    ("C-Log3", "Cinema Gamut", "CAT02", models.log_encoding_CanonLog3, models.log_decoding_CanonLog3, -0.05),
    ("Printing-Density", "ITU-R BT.709", "Bradford", models.log_encoding_Cineon, models.log_decoding_Cineon, 0.0),
    ("Linear-BT.709", "ITU-R BT.709", "Bradford", linear, linear, -0.05),
    ("Linear-BT.2020", "ITU-R BT.2020", "Bradford", linear, linear, -0.05),
    ("Linear-P3-D65", "P3-D65", "Bradford", linear, linear, -0.05),
    ("BT.709", "ITU-R BT.709", "Bradford", models.oetf_BT709, models.oetf_inverse_BT709, 0.0),
    ("HLG", "ITU-R BT.2020", "Bradford", models.oetf_BT2100_HLG, models.oetf_inverse_BT2100_HLG, 0.0),
    ("sRGB", "ITU-R BT.709", "Bradford", None, models.eotf_sRGB, 0.0),
    ("Gamma2.2", "ITU-R BT.709", "Bradford", None, gamma(2.2)[1], 0.0),
    ("BT.1886", "ITU-R BT.709", "Bradford", None, models.eotf_BT1886, 0.0),
    ("P3-D65", "P3-D65", "Bradford", None, gamma(2.6)[1], 0.0),
    ("BT.2020", "ITU-R BT.2020", "Bradford", None, models.eotf_BT1886, 0.0),
    # 1.0 of linear light is 100 nits.
    ("PQ", "ITU-R BT.2020", "Bradford", None, lambda v: models.eotf_ST2084(v) / 100, 0.0),
]
LIGHTS = ["A", "FL2", "0.3457,0.3585", "0.44,0.41", "0.2848,0.2932", "0.36,0.40"]
METHODS = ["Bradford", "CAT02", "CAT16", "Von Kries", "XYZ Scaling"]


def lattice(ticks, greys):
    return np.array(list(itertools.product(ticks, repeat=3)) + [(v, v, v) for v in greys])


def write(what, way, rows, out):
    for a, b in zip(rows, out):
        print(what, way, *(repr(float(v)) for v in (*a, *b)), sep="\t")


def scene():
    aces = colour.RGB_COLOURSPACES["ACES2065-1"]
    for what, space, adaptation, encode, decode, least in SCENE:
        space = colour.RGB_COLOURSPACES[space]
        codes = lattice(np.linspace(least, 1.0 if what == "PQ" else 1.05, 9), np.linspace(least, 1.0, 211))
        to_aces = colour.matrix_RGB_to_RGB(space, aces, chromatic_adaptation_transform=adaptation)
        write(what, "decode", codes, decode(codes) @ to_aces.T)
        if encode is None:
            continue
        # Light on the encoding's own primaries, so that none of it is below what the encoder is defined for. Colours to
        # 1, greys beyond: a channel of nothing beside one of nine is below a single float.
        # HLG's square root turns a rounding at black into 1e-4.
        ticks = [least * 0.04, 0.0, 0.004, 0.016, 0.18, 0.5, 1.0] if what != "HLG" else [0.001, 0.004, 0.02, 0.08, 0.09, 0.4, 1.0]
        own = lattice(np.array(ticks), 0.18 * np.exp2(np.linspace(-10, 2.4 if what == "HLG" else 6.0, 125)))
        # The matrix there and back leaves nothing of the decoder in it; a light of zero comes back as a rounding below
        # zero, where some encoders are not defined.
        light = own @ to_aces.T
        from_aces = colour.matrix_RGB_to_RGB(aces, space, chromatic_adaptation_transform=adaptation)
        back = light @ from_aces.T
        write(what, "encode", light, encode(np.where(np.abs(back) < 1e-14, 0.0, back)))


def light_xy(name):
    if "," in name:
        return tuple(float(v) for v in name.split(","))
    return tuple(colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"][name])


def white():
    acescg = colour.RGB_COLOURSPACES["ACEScg"]
    rows = lattice([-0.1, 0.02, 0.18, 1.0, 4.0], [])
    # Equal red, green and blue read as D65, whatever the working white is.
    frame = colour.adaptation.matrix_chromatic_adaptation_VonKries(
        colour.xy_to_XYZ(acescg.whitepoint), colour.xy_to_XYZ(D65), "Bradford")
    xyz = rows @ acescg.matrix_RGB_to_XYZ.T @ frame.T
    for name in LIGHTS:
        for method in METHODS:
            adapted = colour.adaptation.chromatic_adaptation_VonKries(
                xyz, colour.xy_to_XYZ(light_xy(name)), colour.xy_to_XYZ(D65), transform=method)
            out = adapted @ np.linalg.inv(frame).T @ acescg.matrix_XYZ_to_RGB.T
            write(name, method.lower().replace(" ", "-"), rows, out)


print("what", "way", "in_r", "in_g", "in_b", "out_r", "out_g", "out_b", sep="\t")
{"scene": scene, "white": white}[sys.argv[1]]()
