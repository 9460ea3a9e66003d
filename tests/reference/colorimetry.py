"""Matrices between spaces, written down once more in numpy from their definitions."""

import colour
import numpy as np

OBSERVER = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
WHITES = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
D65 = (0.3127, 0.3290)
ACES_WHITE = (0.32168, 0.33767)
AP1 = [(0.713, 0.293), (0.165, 0.830), (0.128, 0.044)]
BT709 = [(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)]
BT2020 = [(0.708, 0.292), (0.170, 0.797), (0.131, 0.046)]

CATS = {
    name: np.array(colour.CHROMATIC_ADAPTATION_TRANSFORMS[name])
    for name in ("XYZ Scaling", "Von Kries", "Bradford", "CAT02", "CAT16")
}


def xyz_from_xy(xy):
    x, y = xy
    return np.array([x / y, 1.0, (1.0 - x - y) / y])


def uv_from_xy(xy):
    x, y = xy
    d = -2.0 * x + 12.0 * y + 3.0
    return np.array([4.0 * x / d, 6.0 * y / d])


def xy_from_uv(uv):
    u, v = uv
    d = 2.0 * u - 8.0 * v + 4.0
    return (float(3.0 * u / d), float(2.0 * v / d))


def xyz_from_rgb(primaries, white):
    """SMPTE RP 177: the columns are the primaries, scaled so that equal RGB gives the white."""
    columns = np.array([[x, y, 1.0 - x - y] for x, y in primaries]).T
    return columns @ np.diag(np.linalg.solve(columns, xyz_from_xy(white)))


def adaptation(source, target, method):
    """von Kries gains in the cone space of the method."""
    cones = CATS[method]
    gains = (cones @ xyz_from_xy(target)) / (cones @ xyz_from_xy(source))
    return np.linalg.inv(cones) @ np.diag(gains) @ cones


def planckian_uv(kelvin, c2=1.4388e-2):
    """CIE 1960 (u, v) of Planck's law over the observer at 1 nm, 360 to 830 nm."""
    metres = OBSERVER.wavelengths * 1e-9
    exitance = 1.0 / (metres**5 * np.expm1(c2 / (metres * kelvin)))
    x, y, z = (exitance[:, None] * OBSERVER.values).sum(axis=0)
    d = x + 15.0 * y + 3.0 * z
    return np.array([4.0 * x / d, 6.0 * y / d])


def offset_uv(kelvin, duv):
    """The Planckian point moved along the normal, found by a central difference; plus is above the locus."""
    step = kelvin * 1e-4
    tangent = planckian_uv(kelvin + step) - planckian_uv(kelvin - step)
    normal = np.array([tangent[1], -tangent[0]])
    normal /= np.linalg.norm(normal)
    return planckian_uv(kelvin) + duv * (normal if normal[1] > 0 else -normal)
