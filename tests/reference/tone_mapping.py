"""Published conversions between peaks: tone_mapping."""

import math

import numpy as np
from colour import models
from table import Table

LIGHT = (0, 0.1, 1, 10, 26, 100, 203, 500, 1000, 2000, 4000)
TARGETS = ((1000, 0.005), (600, 0.01), (400, 0.05), (100, 0.1), (1000, 0), (300, 0))


def pq(nits):
    return float(models.eotf_inverse_ST2084(nits))


def eetf(nits, from_peak, peak, black):
    """BT.2390 5.4.1, steps 1 to 5, with the spline as it is printed."""
    low, span = pq(0), pq(from_peak) - pq(0)
    e1, least, most = ((pq(v) - low) / span for v in (nits, black, peak))
    knee = 1.5 * most - 0.5
    e2 = e1
    if e1 >= knee:
        t = (e1 - knee) / (1 - knee)
        e2 = (2 * t**3 - 3 * t**2 + 1) * knee + (t**3 - 2 * t**2 + t) * (1 - knee) + (-2 * t**3 + 3 * t**2) * most
    e3 = e2 + least * (1 - e2) ** 4
    return low + e3 * span


def method_a(light, hdr_peak, sdr_peak):
    rho_hdr, rho_sdr = (1 + 32 * (peak / 10000) ** (1 / 2.4) for peak in (hdr_peak, sdr_peak))
    r, g, b = (float(v) ** (1 / 2.4) for v in light)
    y = 0.2627 * r + 0.6780 * g + 0.0593 * b
    yp = math.log(1 + (rho_hdr - 1) * y) / math.log(rho_hdr)
    if yp <= 0.7399:
        yc = 1.0770 * yp
    elif yp < 0.9909:
        yc = -1.1510 * yp**2 + 2.7811 * yp - 0.6302
    else:
        yc = 0.5 * yp + 0.5
    ysdr = (rho_sdr**yc - 1) / (rho_sdr - 1)
    f = ysdr / (1.1 * y) if y > 0 else 0.0
    cb, cr = f * (b - y) / 1.8814, f * (r - y) / 1.4746
    ytmo = ysdr - max(0.1 * cr, 0)
    # BT.2020's luma and colour difference back to R'G'B', by the inverse of its matrix.
    to_ycc = np.array([[0.2627, 0.6780, 0.0593], [-0.2627 / 1.8814, -0.6780 / 1.8814, 0.9407 / 1.8814], [0.7373 / 1.4746, -0.6780 / 1.4746, -0.0593 / 1.4746]])
    rgb = np.linalg.solve(to_ycc, np.array([ytmo, cb, cr]))
    return y, yp, yc, ysdr, [float(v) for v in rgb]


def method_c(nits):
    k1, k3, sdr = 0.83802, 0.74204, 58.535
    at = sdr / k1
    k2 = k1 * (1 - k3) * at
    k4 = sdr - k2 * math.log(1 - k3)
    return k2, k4, k1 * nits if nits < at else k2 * math.log(nits / at - k3) + k4


def tone_mapping():
    rows = []
    for peak, black in TARGETS:
        for nits in LIGHT:
            signal = eetf(nits, 4000, peak, black)
            back = float(models.eotf_ST2084(signal))
            rows.append(["EETF", f"4000 0 {peak} {black}", nits, pq(nits), signal, back])
    colours = [(v, v, v) for v in (0.0, 0.026, 0.1, 0.203, 0.5, 1.0)]
    colours += [(0.5, 0.05, 0.02), (0.02, 0.05, 0.6), (0.6, 0.5, 0.03)]
    triple = lambda values: " ".join(repr(float(v)) for v in values)
    for light in colours:
        y, yp, yc, ysdr, rgb = method_a(light, 1000, 100)
        rows.append(["method A", "1000 100", triple(light), triple((y, yp, yc)), ysdr, triple(rgb)])
    for nits in (0, 1, 10, 26, 50, 58.535 / 0.83802, 100, 162, 203, 400, 600, 1000):
        k2, k4, out = method_c(nits)
        rows.append(["method C", "0.83802 0.74204 58.535", nits, triple((k2, k4)), out, ""])
    return Table(
        "tone_mapping.tsv",
        "Report ITU-R BT.2390, 5.4.1 (EETF); Report ITU-R BT.2446-1 methods A and C (C: constants from memory, two of them derived)",
        ["what", "between", "input", "steps", "output", "light"], rows,
        ("EETF: between is from peak, from black, peak, black in nits; input nits, steps its PQ signal, output PQ signal, light in nits",
         "method A: between is both peaks; input linear BT.2020 of the HDR peak, steps Y', Y'p, Y'c, output Y' of SDR, light R'G'B' of SDR in gamma 2.4",
         "method C: between is k1, k3 and the SDR nits of the inflection; input and output nits of luminance, steps k2 and k4, which make value and slope continuous"),
    )


TABLES = [tone_mapping]
