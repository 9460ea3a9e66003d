"""The demo's spectra integrated again by colour-science: whites, palettes, temperatures, and shapes against its own data.

Reads the table of spectra that the demo writes and nothing else of ours; the observer, the illuminants, the primaries and
the adaptations are the library's. Rows: kind, names, numbers.
"""

import sys
import warnings

import colour
import numpy as np
from scipy import optimize

warnings.filterwarnings("ignore")

D65 = np.array((0.3127, 0.3290))
OBSERVER = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
PATCHES = 24
# Camera of the demo, its encoding's primaries.
CAMERAS = [("main", "ARRI Wide Gamut 3"), ("second", "S-Gamut3.Cine")]


def read(path):
    """Wavelengths, and columns by kind and name."""
    with open(path, encoding="utf-8") as file:
        lines = [line.rstrip("\n").split("\t") for line in file if not line.startswith("#")]
    numbers = np.array([[float(cell) for cell in line] for line in lines[1:]])
    kinds = {"light": {}, "material": {}, "camera": {}}
    for name, column in zip(lines[0][1:], numbers.T[1:]):
        kind, name = name.split(": ", 1)
        kinds[kind][name] = column
    return numbers[:, 0], kinds


def rgb_space(name):
    space = colour.RGB_COLOURSPACES[name]
    # The matrix from the chromaticities in double, not as printed.
    space.use_derived_transformation_matrices(True)
    return space


def row(kind, names, values):
    print(kind, *names, *(repr(float(value)) for value in values), sep="\t")


def fitted(seen, exact):
    """The best 3x3 from what is seen to what is exact that keeps the first, white, by Lagrange's multipliers."""
    a, white = seen[1:], seen[0]
    system = np.block([[2 * a.T @ a, white[:, None]], [white[None, :], np.zeros((1, 1))]])
    return np.array([
        np.linalg.solve(system, np.append(2 * a.T @ exact[1:, channel], exact[0, channel]))[:3] for channel in range(3)])


def palettes(nm, kinds):
    surfaces = {"perfect diffuser": np.ones_like(nm), **kinds["material"]}
    reflectances = colour.MultiSpectralDistributions(np.array(list(surfaces.values())).T, nm, labels=list(surfaces))
    xyz = {}
    for light, power in kinds["light"].items():
        sums = colour.msds_to_XYZ(
            reflectances, OBSERVER, colour.SpectralDistribution(power, nm), method="Integration",
            shape=colour.SpectralShape(360, 830, 1)) / 100
        xyz[light] = sums
        kelvin, duv = colour.temperature.uv_to_CCT_Ohno2013(colour.UCS_to_uv(colour.XYZ_to_UCS(sums[0])))
        row("white", [light], [*sums[0], kelvin, duv])
        for name, value in zip(surfaces, sums):
            row("xyz", [light, name], value)
    every = np.array(list(surfaces.values())).T
    luminance = OBSERVER.values[:, 1]
    for camera, primaries in CAMERAS:
        to_rgb = rgb_space(primaries).matrix_XYZ_to_RGB.T
        curves = np.array([kinds["camera"][f"{camera}, {channel} channel"] for channel in ("first", "second", "third")]).T
        seen = {light: (every * power[:, None]).T @ curves / (power @ luminance) for light, power in kinds["light"].items()}
        chart = slice(0, 1 + PATCHES)
        if camera == "main":
            matrix = to_rgb.T
        else:
            matrix = fitted(seen["D65"][chart], xyz["D65"][chart] @ to_rgb)
        for light, channels in seen.items():
            for name, value in zip(surfaces, channels @ matrix.T):
                row(camera, [light, name], value)
        relit(camera, rgb_space(primaries), surfaces, xyz["D65"])


def relit(name_of_camera, camera, surfaces, xyz):
    """Lit by D65, along a camera's road to ACEScg."""
    working = rgb_space("ACEScg")
    exact = colour.adaptation.matrix_chromatic_adaptation_VonKries(xyz[0], colour.xy_to_XYZ(D65), "Bradford")
    to_working = colour.matrix_RGB_to_RGB(camera, working, chromatic_adaptation_transform="CAT02")
    for name, value in zip(surfaces, xyz @ (to_working @ camera.matrix_XYZ_to_RGB @ exact).T):
        row("relit", [name_of_camera, name], value)


def at(sd, nm):
    """The library's samples at wavelengths that it holds."""
    return np.array([sd[w] for w in nm])


def shapes(nm, kinds):
    """How far a light is from the library's own of the same kind, against its greatest power; as it is or but for a tint."""

    def apart(name, own, of):
        power = kinds["light"][name][np.isin(nm, of)]
        return np.abs(power / power.max() - own / own.max()).max()

    def daylight(kelvin):
        return at(colour.sd_CIE_illuminant_D_series(colour.temperature.CCT_to_xy_CIE_D(kelvin), M1_M2_rounding=False), tens)

    visible = np.arange(380.0, 781.0, 5.0)
    planck = at(colour.sd_blackbody(3100, colour.SpectralShape(360, 830, 1)), visible)
    row("shape", ["tungsten"], [apart("tungsten", planck, visible)])
    row("shape", ["D65"], [apart("D65", at(colour.SDS_ILLUMINANTS["D65"], visible), visible)])
    # Daylights came to their round temperatures by nominal ones: the library's phase of daylight that is nearest.
    tens = np.arange(380.0, 781.0, 10.0)
    for name, kelvin in (("window", 9000), ("overcast", 6360)):
        nearest = optimize.minimize_scalar(
            lambda nominal: apart(name, daylight(nominal), tens), bounds=(kelvin - 20, kelvin + 20), method="bounded")
        row("shape", [name], [nearest.fun])
    # A smooth shade: what is left after the tube's own power is taken out, and how much it bends from sample to sample.
    tube = kinds["light"]["tubes"][np.isin(nm, visible)]
    shade = tube / at(colour.SDS_ILLUMINANTS["FL11"], visible)
    row("shade", ["tubes"], [shade.max() / shade.min(), np.abs(np.diff(np.log(shade), 2)).max()])
    observer = np.array([kinds["camera"][f"main, {channel} channel"] for channel in ("first", "second", "third")]).T
    row("observer", ["main"], [np.abs(observer - OBSERVER.values).max()])


nm, kinds = read(sys.argv[1])
palettes(nm, kinds)
shapes(nm, kinds)
