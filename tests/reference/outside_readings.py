"""Random colours as colour-science reads them: chromaticity, colour temperature, CIELAB, differences. No figure of ours enters.

    outside_readings.py SIGNAL    aces (linear on AP1), bt1886 (R'G'B' on a display of 100 nits), or pq

A row holds a colour and a target on that signal, then x, y, u', v', kelvin and Duv (Ohno 2013; empty far from the locus),
L*, a*, b*, and Delta E 2000 and Delta E ITP (not in a scene) to the target. L* 100 is scene 1, the display's white, or 203 nits.
"""

import sys
import warnings

import colour
import numpy as np
from colour import models

warnings.filterwarnings("ignore")

COUNT = 200
D65 = (0.3127, 0.3290)
for space in colour.RGB_COLOURSPACES.values():
    space.use_derived_transformation_matrices(True)


def colours(random, low, high):
    """Some of any colour, most near grey, where light is."""
    grey = random.uniform(low, high, (COUNT, 1))
    spread = random.choice([0.05, 0.2, 0.6], (COUNT, 1)) * grey
    return np.clip(grey + spread * random.uniform(-1, 1, (COUNT, 3)), low, high)


def aces(rgb):
    """XYZ with equal channels at D65, as everything in the project reads."""
    space = colour.RGB_COLOURSPACES["ACEScg"]
    adapt = colour.adaptation.matrix_chromatic_adaptation_VonKries(
        colour.xy_to_XYZ(space.whitepoint), colour.xy_to_XYZ(D65), "Bradford")
    return rgb @ space.matrix_RGB_to_XYZ.T @ adapt.T, None


def bt1886(rgb):
    return models.eotf_BT1886(rgb) @ colour.RGB_COLOURSPACES["ITU-R BT.709"].matrix_RGB_to_XYZ.T, 100.0


def pq(rgb):
    return models.eotf_ST2084(rgb) / 203 @ colour.RGB_COLOURSPACES["ITU-R BT.2020"].matrix_RGB_to_XYZ.T, 203.0


def ictcp(xyz, white):
    light = xyz @ colour.RGB_COLOURSPACES["ITU-R BT.2020"].matrix_XYZ_to_RGB.T * white
    return colour.RGB_to_ICtCp(light, method="ITU-R BT.2100-2 PQ")


def light(xy):
    """Kelvin and Duv where the library's method holds, well within its limits."""
    u, v = colour.UCS_to_uv(colour.XYZ_to_UCS(colour.xy_to_XYZ(xy)))
    kelvin, duv = colour.temperature.uv_to_CCT_Ohno2013([u, v])
    return [float(kelvin), float(duv)] if 1200 < kelvin < 25000 and abs(duv) < 0.045 else ["", ""]


def main(signal):
    random = np.random.default_rng(219)
    low, high = {"aces": (0.01, 2.0), "bt1886": (0.2, 1.0), "pq": (0.2, 0.75)}[signal]
    of = {"aces": aces, "bt1886": bt1886, "pq": pq}[signal]
    ours, targets = colours(random, low, high), colours(random, low, high)
    (xyz, white), (target_xyz, _) = of(ours), of(targets)
    lab, target_lab = (colour.XYZ_to_Lab(v, D65) for v in (xyz, target_xyz))
    difference = colour.delta_E(lab, target_lab, method="CIE 2000")
    itp = colour.difference.delta_E_ITP(ictcp(xyz, white), ictcp(target_xyz, white)) if white else [""] * COUNT
    print("r", "g", "b", "target_r", "target_g", "target_b", "x", "y", "u", "v", "kelvin", "duv", "L", "a", "b_star", "e2000", "itp", sep="\t")
    for at in range(COUNT):
        xy = colour.XYZ_to_xy(xyz[at])
        uv = colour.Luv_to_uv(colour.XYZ_to_Luv(xyz[at], D65), D65)
        cells = [*ours[at], *targets[at], *xy, *uv, *light(xy), *lab[at], difference[at], itp[at]]
        print(*(v if v == "" else repr(float(v)) for v in cells), sep="\t")


main(sys.argv[1])
