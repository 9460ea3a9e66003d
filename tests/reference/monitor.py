"""What a monitor must be given to show a display's picture as it is, by colour-science, for tests/tests/monitor.rs.

One argument: a JSON list of cases. Each has "display" (BT.1886, sRGB, PQ or HLG) with "peak" and "black" in nits and
"codes" (rows of the display's signal), and "monitor": "primaries" (a list of red, green, blue, white, x and y each), "white" (kept or own),
"eotf" (BT.1886, sRGB, PQ or a number), "peak" and "black" in nits. JSON goes out: the monitor's codes of each case.
"""

import json
import sys

import colour
import numpy as np

BT709 = [[0.64, 0.33], [0.30, 0.60], [0.15, 0.06], [0.3127, 0.3290]]
BT2020 = [[0.708, 0.292], [0.170, 0.797], [0.131, 0.046], [0.3127, 0.3290]]


def xyz_from_rgb(primaries):
    return colour.normalised_primary_matrix(np.array(primaries[:3]), np.array(primaries[3]))


def nits_of(display, peak, black, codes):
    if display == "BT.1886":
        return colour.models.eotf_BT1886(codes, black, peak)
    if display == "sRGB":
        return colour.models.eotf_sRGB(codes) * peak
    if display == "PQ":
        return colour.models.eotf_ST2084(codes)
    if display == "HLG":
        return colour.models.eotf_BT2100_HLG(codes, black, peak)
    raise SystemExit(f"no display {display}")


def code_of(eotf, peak, black, nits):
    nits = np.clip(nits, black, peak)
    if eotf == "BT.1886":
        return colour.models.eotf_inverse_BT1886(nits, black, peak)
    if eotf == "PQ":
        return colour.models.eotf_inverse_ST2084(nits)
    share = (nits - black) / (peak - black)
    return colour.models.eotf_inverse_sRGB(share) if eotf == "sRGB" else share ** (1 / eotf)


def shown(case):
    codes, monitor = np.array(case["codes"]), case["monitor"]
    primaries = BT709 if case["display"] in ("BT.1886", "sRGB") else BT2020
    xyz = nits_of(case["display"], case["peak"], case["black"], codes) @ xyz_from_rgb(primaries).T
    if monitor["white"] == "own":
        whites = [colour.xy_to_XYZ(np.array(white)) for white in (primaries[3], monitor["primaries"][3])]
        xyz = xyz @ colour.adaptation.matrix_chromatic_adaptation_VonKries(*whites, transform="Bradford").T
    nits = xyz @ np.linalg.inv(xyz_from_rgb(monitor["primaries"])).T
    return code_of(monitor["eotf"], monitor["peak"], monitor["black"], nits).tolist()


print(json.dumps([shown(case) for case in json.loads(sys.argv[1])]))
