"""Rows through OpenColorIO's own colour decision lists and gamut compression, written as a table: the chain that ought
to give the same, three inputs, three outputs.

`cdl` tries lists of numbers with and without clamping; `gamut` the built-in reference compression on ACES2065-1 and the
same function with other numbers on AP1, both ways. In single floats, optimised without loss.
"""

import itertools
import sys

import numpy as np
import PyOpenColorIO as ocio

FORWARD, INVERSE = ocio.TRANSFORM_DIR_FORWARD, ocio.TRANSFORM_DIR_INVERSE
# Slope, offset, power, saturation: each number alone, all together, and both of the kind that pushes channels apart.
LISTS = [
    ((1.2, 1.0, 0.8), (0, 0, 0), (1, 1, 1), 1),
    ((1, 1, 1), (0.05, 0, -0.05), (1, 1, 1), 1),
    ((1, 1, 1), (0, 0, 0), (0.8, 1, 1.3), 1),
    ((1, 1, 1), (0, 0, 0), (1, 1, 1), 0),
    ((1, 1, 1), (0, 0, 0), (1, 1, 1), 1.6),
    ((1.1, 0.95, 1.3), (-0.04, 0.02, 0.1), (0.9, 1.15, 2.2), 0.7),
    ((3.4, 1, 0.1), (-0.178, -0.178, -0.178), (1.095, 1.095, 1.095), 1.4),
]
# Limits, thresholds, power: softer, sharper, and each channel its own.
COMPRESSIONS = [
    ((1.147, 1.264, 1.312), (0.815, 0.803, 0.880), 1.2),
    ((1.4, 1.4, 1.4), (0.6, 0.6, 0.6), 1.0),
    ((1.1, 1.2, 1.5), (0.9, 0.7, 0.5), 2.5),
]


def through(rows, *transforms):
    group = ocio.GroupTransform()
    for transform in transforms:
        group.appendTransform(transform)
    processor = ocio.Config.CreateRaw().getProcessor(group)
    cpu = processor.getOptimizedCPUProcessor(ocio.BIT_DEPTH_F32, ocio.BIT_DEPTH_F32, ocio.OPTIMIZATION_LOSSLESS)
    out = rows.copy()
    cpu.applyRGB(out)
    return out


def lattice(ticks):
    return np.array(list(itertools.product(ticks, repeat=3)), dtype=np.float32)


def write(chain, rows, out):
    for a, b in zip(rows, out):
        print(chain, *(repr(float(v)) for v in (*a, *b)), sep="\t")


def three(numbers):
    return ",".join(str(n) for n in numbers)


def cdl():
    rows = lattice([-0.3, -0.05, 0.0, 0.07, 0.18, 0.4, 0.62, 0.9, 1.0, 1.4])
    for slope, offset, power, saturation in LISTS:
        for clamp, style in (("true", ocio.CDL_ASC), ("false", ocio.CDL_NO_CLAMP)):
            transform = ocio.CDLTransform()
            transform.setSlope(slope)
            transform.setOffset(offset)
            transform.setPower(power)
            transform.setSat(saturation)
            transform.setStyle(style)
            numbers = f"slope={three(slope)} offset={three(offset)} power={three(power)} saturation={saturation}"
            write(f"cdl {numbers} clamp={clamp} domain=as-given", rows, through(rows, transform))


def gamut():
    rows = lattice([-0.2, -0.02, 0.0, 0.01, 0.18, 0.5, 1.0, 6.0])
    builtin = ocio.BuiltinTransform("ACES-LMT - ACES 1.3 Reference Gamut Compression", FORWARD)
    chain = "input-transform encoding=ACES2065-1 | gamut-compress | encode encoding=ACES2065-1"
    write(chain, rows, through(rows, builtin))
    for limit, threshold, power in COMPRESSIONS:
        numbers = f"limit={three(limit)} threshold={three(threshold)} power={power}"
        function = [
            ocio.FixedFunctionTransform(ocio.FIXED_FUNCTION_ACES_GAMUT_COMP_13, [*limit, *threshold, power], direction=way)
            for way in (FORWARD, INVERSE)
        ]
        write(f"gamut-compress {numbers}", rows, through(rows, function[0]))
        # To twice the limits; next to the inverse's pole single floats say little.
        largest = rows.max(axis=1, keepdims=True)
        near = (largest > 0).all(axis=1) & (((largest - rows) / np.maximum(largest, 1e-6)) < 2 * np.array(limit)).all(axis=1)
        compressed = through(rows[near], function[0])
        write(f"gamut-compress {numbers} inverse=true", compressed, through(compressed, function[1]))


print("chain", "in_r", "in_g", "in_b", "out_r", "out_g", "out_b", sep="\t")
{"cdl": cdl, "gamut": gamut}[sys.argv[1]]()
