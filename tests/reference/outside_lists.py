"""Rows through the CLF and CDL files named, by OpenColorIO, which reads the files itself.

    outside_lists.py FILE...      writes: file, three inputs, three outputs

Of a file of decision lists the correction "galley" is taken, in the style of release 1.2, which clamps. It works in float.
"""

import sys

sys.dont_write_bytecode = True

import numpy as np  # noqa: E402
import PyOpenColorIO as ocio  # noqa: E402


def inputs():
    """Codes of a picture, greys, and some beyond; floats, so that both sides see the same numbers."""
    random = np.random.default_rng(7)
    rows = [0.05 + 0.75 * random.random((300, 3)), np.repeat(np.linspace(-0.02, 1.02, 53)[:, None], 3, axis=1)]
    rows.append(np.array([[r, g, b] for r in (0, 1) for g in (0, 0.5, 1) for b in (0, 1)], dtype=float))
    return np.concatenate(rows).astype(np.float32)


def through(file, rows):
    transform = ocio.FileTransform(file, interpolation=ocio.INTERP_BEST)
    if not file.endswith(".clf"):
        transform.setCDLStyle(ocio.CDL_ASC)
        transform.setCCCId("galley")
    processor = ocio.Config.CreateRaw().getProcessor(transform)
    cpu = processor.getOptimizedCPUProcessor(ocio.BIT_DEPTH_F32, ocio.BIT_DEPTH_F32, ocio.OPTIMIZATION_LOSSLESS)
    out = rows.copy()
    cpu.applyRGB(out)
    return out


def main():
    for file in sys.argv[1:]:
        rows = inputs()
        for a, b in zip(rows, through(file, rows)):
            print(file, *(repr(float(v)) for v in (*a, *b)), sep="\t")


main()
