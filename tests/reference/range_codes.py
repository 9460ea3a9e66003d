"""Integer codes of full and legal range: range_codes."""

import math

from table import Table

SIGNALS = (-0.05, -64 / 876, 0, 0.01, 0.18, 0.409, 0.5, 0.75, 0.9, 1.0, 1.05, 1.0902)
CHROMA = (-0.5, -0.25, 0, 0.25, 0.5)
# EBU R 103 v3.0 (2020); 12 and 16 bits from memory: the 10-bit limits times 2^(n - 10).
R103 = {8: (5, 246), 10: (20, 984), 12: (80, 3936), 16: (1280, 62976)}


def code(bits, scale, offset, value):
    """INT[x] of the Recommendations rounds half up; a code cannot leave its bits."""
    return min(max(math.floor(scale * value + offset + 0.5), 0), 2**bits - 1)


def range_codes():
    rows = []
    for bits in (8, 10, 12, 16):
        k = 2 ** (bits - 8)
        top = 2**bits - 1
        rows += [
            [bits, "legal", "luma", 0.0, 16 * k], [bits, "legal", "luma", 1.0, 235 * k],
            [bits, "legal", "chroma", 0.0, 128 * k], [bits, "legal", "chroma", -0.5, 16 * k], [bits, "legal", "chroma", 0.5, 240 * k],
            [bits, "full", "luma", 0.0, 0], [bits, "full", "luma", 1.0, top], [bits, "full", "chroma", 0.0, 2 ** (bits - 1)],
            [bits, "", "video data low", "", k], [bits, "", "video data high", "", top - k],
            [bits, "", "R 103 low", "", R103[bits][0]], [bits, "", "R 103 high", "", R103[bits][1]],
        ]
    for bits in (8, 10, 12):
        k = 2 ** (bits - 8)
        rows += [[bits, "legal", "luma", v, code(bits, 219 * k, 16 * k, v)] for v in SIGNALS]
        rows += [[bits, "full", "luma", v, code(bits, 2**bits - 1, 0, v)] for v in SIGNALS]
        rows += [[bits, "legal", "chroma", v, code(bits, 224 * k, 128 * k, v)] for v in CHROMA]
        rows += [[bits, "full", "chroma", v, code(bits, 2**bits - 1, 128 * k, v)] for v in CHROMA]
    for value in (4, 48, 64, 80, 99, 152, 414, 502, 721, 940, 1019):
        rows.append([10, "legal", "signal", (value - 64) / 876, value])
    return Table(
        "range_codes.tsv", "Rec. ITU-R BT.709-6 items 4.6 to 4.8, BT.2100-2 table 9, EBU R 103 v3.0 (2020; 12 and 16 bits from memory)",
        ["bits", "range", "what", "signal", "code"], rows,
        ("luma: R'G'B', Y', I; chroma: colour difference, -0.5..0.5; signal rows give the signal of a code",
         "video data: the codes that are not timing references on a serial interface"),
    )


TABLES = [range_codes]
