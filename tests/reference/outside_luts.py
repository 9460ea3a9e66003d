"""Rows through the Cube files named, by OpenColorIO and by colour-science, each reading the files itself.

    outside_luts.py FILE...      writes: library, file, interpolation, three inputs, three outputs

colour-science interpolates by its own functions in double; it does not clamp, so its rows stay within the domain, which
it normalises for 3D tables as the file says. OpenColorIO works in float and clamps.
"""

import sys
import warnings

warnings.filterwarnings("ignore")
sys.dont_write_bytecode = True

import colour  # noqa: E402
import numpy as np  # noqa: E402
import PyOpenColorIO as ocio  # noqa: E402
from colour.algebra import table_interpolation_tetrahedral, table_interpolation_trilinear  # noqa: E402

WAYS = {
    "tetrahedral": (ocio.INTERP_TETRAHEDRAL, table_interpolation_tetrahedral),
    "trilinear": (ocio.INTERP_LINEAR, table_interpolation_trilinear),
}


def inputs(low, high):
    """Corners, greys, edges and the inside of the domain; floats, so that both libraries see the same numbers."""
    random = np.random.default_rng(5)
    shares = [random.random((300, 3)), np.repeat(np.linspace(0, 1, 41)[:, None], 3, axis=1)]
    shares.append(np.array([[r, g, b] for r in (0, 1) for g in (0, 0.5, 1) for b in (0, 1)], dtype=float))
    rows = (low + np.concatenate(shares) * (high - low)).astype(np.float32)
    return np.clip(rows, low.astype(np.float32), high.astype(np.float32))


def by_opencolorio(file, interpolation, rows):
    transform = ocio.FileTransform(file, interpolation=interpolation)
    processor = ocio.Config.CreateRaw().getProcessor(transform)
    cpu = processor.getOptimizedCPUProcessor(ocio.BIT_DEPTH_F32, ocio.BIT_DEPTH_F32, ocio.OPTIMIZATION_LOSSLESS)
    out = rows.copy()
    cpu.applyRGB(out)
    return out


def write(library, file, way, rows, out):
    for a, b in zip(rows, out):
        print(library, file, way, *(repr(float(v)) for v in (*a, *b)), sep="\t")


def main():
    for file in sys.argv[1:]:
        table = colour.read_LUT(file)
        grid = isinstance(table, colour.LUT3D)
        # Low end and high end, each one number a channel.
        low, high = np.broadcast_to(np.asarray(table.domain, dtype=float).reshape(2, -1), (2, 3))
        rows = inputs(low, high)
        beyond = np.concatenate([rows, (low - 0.3 * (high - low))[None, :], (high * 3 + 1)[None, :]]).astype(np.float32)
        for way, (interpolation, function) in WAYS.items():
            write("opencolorio", file, way, beyond, by_opencolorio(file, interpolation, beyond))
            own = {"interpolator": function} if grid else {}
            write("colour-science", file, way, rows, table.apply(rows.astype(float), **own))


main()
