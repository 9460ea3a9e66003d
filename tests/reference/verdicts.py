"""Verdict figures of corrections solved by hand to a grey card: verdict_patches and verdict_methods.

A chart of known spectra is lit by 3100 K and by D65, recorded in LogC3 as the observer sees it, and brought to a plain BT.1886
display by each method, all in numpy and colour-science. Every method's numbers are solved so that the 18 % card comes to the
display's own 18 %, in the domain where the method works.
"""

import colour
import numpy as np
from colorimetry import ACES_WHITE, AP1, BT709, D65, adaptation, xyz_from_rgb
from table import Table

SHAPE = colour.SpectralShape(380, 780, 5)
SURFACES = ["dark skin", "light skin", "foliage"]
LIGHTS = ["3100 K", "D65"]
# Stops of greys in the chart: thirds from -6 to +4, and beyond so that the ends count as occupied.
STOPS = [-6.5] + [(i - 18) / 3 for i in range(31)] + [4.5]
MID_GREY = 0.18
GAMMA = 2.4

OBSERVER = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(SHAPE).values
CHART = colour.SDS_COLOURCHECKERS["ISO 17321-1"]
CAMERA = xyz_from_rgb(colour.RGB_COLOURSPACES["ARRI Wide Gamut 3"].primaries, D65)
SCENE = xyz_from_rgb(AP1, ACES_WHITE)
DISPLAY = xyz_from_rgb(BT709, D65)
CAMERA_FROM_XYZ = np.linalg.inv(CAMERA)
# The maker's way to ACES adapts by CAT02; equal RGB reads as D65 on the way back, by Bradford.
SCENE_FROM_CAMERA = np.linalg.inv(SCENE) @ adaptation(D65, ACES_WHITE, "CAT02") @ CAMERA
XYZ_FROM_SCENE = adaptation(ACES_WHITE, D65, "Bradford") @ SCENE
DISPLAY_FROM_XYZ = np.linalg.inv(DISPLAY)
WEIGHTS = SCENE[1]


def log(light):
    return colour.models.log_encoding_ARRILogC3(light, EI=800)


def unlog(code):
    return colour.models.log_decoding_ARRILogC3(code, EI=800)


def power(value, exponent):
    return np.sign(value) * np.abs(value) ** exponent


def spectrum(light):
    if light == "D65":
        return colour.SDS_ILLUMINANTS["D65"].copy().align(SHAPE).values
    return colour.sd_blackbody(float(light.split()[0]), SHAPE).values


def xyz(light, reflectance):
    power_of = spectrum(light)
    return power_of * reflectance @ OBSERVER / (power_of @ OBSERVER[:, 1])


def without_cast(of):
    """The sums under D65 come out some millionths off the rounded .3127, .3290 that equal RGB means."""
    white = xyz("D65", np.ones(len(OBSERVER)))
    return adaptation(white[:2] / white.sum(), D65, "Bradford") @ of


def reflectance(name):
    return CHART[name].copy().align(SHAPE).values


def recorded(light, name):
    """Linear camera light."""
    return camera(light, reflectance(name))


def camera(light, reflectance_of):
    of = xyz(light, reflectance_of)
    return CAMERA_FROM_XYZ @ (without_cast(of) if light == "D65" else of)


def grey(light, stops):
    return camera(light, np.full(len(OBSERVER), MID_GREY)) * 2.0**stops


def shown(scene):
    """Scene light to the display's signal, before any clamp."""
    return power(DISPLAY_FROM_XYZ @ XYZ_FROM_SCENE @ scene, 1 / GAMMA)


def seen(signal):
    return DISPLAY @ power(signal, GAMMA)


def methods(light):
    """Each method: its numbers as a chain says them, and what it makes of linear camera light."""
    card = grey(light, 0.0)
    target = np.full(3, MID_GREY ** (1 / GAMMA))
    card_scene = SCENE_FROM_CAMERA @ card
    card_xyz = XYZ_FROM_SCENE @ card_scene
    card_shown = shown(card_scene)

    white = card_xyz[:2] / card_xyz.sum()
    stops = np.log2(MID_GREY / card_xyz[1])
    balance = 2**stops * np.linalg.inv(XYZ_FROM_SCENE) @ adaptation(white, D65, "Bradford") @ XYZ_FROM_SCENE
    offset = log(MID_GREY) - log(card)
    camera_gain = MID_GREY / card
    gains = MID_GREY / card_scene
    # A light shift keeps the weighted sum of logarithms; what is left over is exposure.
    exposure = float(WEIGHTS @ np.log(gains))
    display_gain, display_offset = target / card_shown, target - card_shown

    def taper(rgb):
        rgb = rgb * np.exp(exposure)
        luminance = WEIGHTS @ rgb
        if luminance <= 0:
            return rgb
        t = np.clip((np.log2(luminance / MID_GREY) + 6) / 2, 0, 1)
        return rgb * (1 + t * t * (3 - 2 * t) * (gains / np.exp(exposure) - 1))

    scene = lambda rgb: SCENE_FROM_CAMERA @ rgb  # noqa: E731
    return {
        "adaptation": ([stops, *white], lambda rgb: shown(balance @ scene(rgb))),
        "log-offset": (list(offset), lambda rgb: shown(scene(unlog(log(rgb) + offset)))),
        "camera-gain": (list(camera_gain), lambda rgb: shown(scene(rgb * camera_gain))),
        "light-shift": (list(gains), lambda rgb: shown(scene(rgb) * gains)),
        "taper-balance": (list(gains), lambda rgb: shown(taper(scene(rgb)))),
        "display-gain": (list(display_gain), lambda rgb: shown(scene(rgb)) * display_gain),
        "display-offset": (list(display_offset), lambda rgb: shown(scene(rgb)) + display_offset),
    }


def hue(signal):
    _, a, b = colour.XYZ_to_Oklab(seen(signal))
    return np.degrees(np.arctan2(b, a))


def gap(of, first, second):
    turn = (hue(of(first)) - hue(of(second))) % 360
    return round(float(min(turn, 360 - turn)), 6)


def drift(light, method):
    """The worst Delta E 2000 of grey to the neutral of its luminance, from L* 8 on, and its stop."""
    worst = (0.0, 0.0)
    for i in range(31):
        stops = (i - 18) / 3
        lab = colour.XYZ_to_Lab(seen(method(grey(light, stops))), D65)
        if lab[0] >= 8:
            worst = max(worst, (round(float(colour.delta_E(lab, [lab[0], 0, 0], method="CIE 2000")), 4), stops))
    return worst


def truth(name):
    """The display's signal of a surface under D65."""
    return shown(SCENE_FROM_CAMERA @ recorded("D65", name))


def verdict_patches():
    rows = []
    for light in LIGHTS:
        rows += [[light, name, *log(recorded(light, name))] for name in SURFACES]
        rows += [[light, f"grey {stops:+.3f}", *log(grey(light, stops))] for stops in STOPS]
    notes = ("LogC3 code at EI 800 of what the CIE 1931 observer sees, ARRI Wide Gamut 3; a perfect diffuser has luminance 1",)
    return Table("verdict_patches.tsv", "ISO 17321-1 reflectances, CIE 015:2018, ARRI ALEXA Log C Curve (2012/2017)",
                 ["light", "surface", "R", "G", "B"], rows, notes)


def verdict_methods():
    columns = ["light", "method", "n0", "n1", "n2", "light_skin_to_foliage", "dark_skin_to_foliage", "black_r", "black_g",
               "black_b", "drift", "drift_stops"]
    rows = []
    for light in LIGHTS:
        pair = [gap(truth, name, "foliage") for name in ("light skin", "dark skin")]
        rows.append([light, "truth", 0.0, 0.0, 0.0, *pair, 0.0, 0.0, 0.0, 0.0, 0.0])
        for name, (numbers, method) in methods(light).items():
            of = lambda surface: method(recorded(light, surface))  # noqa: E731, B023
            pair = [gap(of, surface, "foliage") for surface in ("light skin", "dark skin")]
            # Black is light to the power of 1 / 2.4: what rounding leaves of nothing is some thousandths of a code.
            black = [round(float(code), 1) + 0.0 for code in 1023 * method(np.zeros(3))]
            rows.append([light, name, *numbers, *pair, *black, *drift(light, method)])
    notes = (
        "numbers: adaptation stops, x, y; log-offset of LogC3 signal; gains of camera light; gains of AP1 light; display signal",
        "gaps in degrees of Oklab (Ottosson 2020); black in 10-bit codes; drift in Delta E 2000 (ISO/CIE 11664-6)",
    )
    return Table("verdict_methods.tsv", "the documents of verdict_patches; Rec. ITU-R BT.1886, BT.709-6", columns, rows, notes)


TABLES = [verdict_patches, verdict_methods]
