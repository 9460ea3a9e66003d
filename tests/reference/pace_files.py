"""Seconds a frame from 4K 10-bit DPX to 10-bit DPX and to half-float OpenEXR (zip), beside OpenImageIO's oiiotool.

A measure, not a test: both programs convert the same files, in turns, on the same two cores and without a GPU. The
conversion is LogC3 to light, half a stop up, white balance from 3200 K, and out: to BT.1886, or to ACEScg in halves.
oiiotool does it in one pass of OpenColorIO, which merges the matrices too. The frames are the demo's, with its grain.

    python tests/reference/pace_files.py target/release/greywright --folder /dev/shm/pace

The folder should lie in memory, so that no disk is measured; 3 GB are needed. It is kept: a second run finds its frames.
"""

import argparse
import json
import os
import resource
import shutil
import statistics
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import OpenImageIO as oiio
import PyOpenColorIO as ocio
from colorimetry import ACES_WHITE, AP1, BT709, D65, adaptation, planckian_uv, xy_from_uv, xyz_from_rgb

SHOTS = ["deck_010", "galley_010", "wheelhouse_010"]
FRAMES_A_SHOT = 8
FRAMES = len(SHOTS) * FRAMES_A_SHOT
SIZE = "3840x2160"
# SMPTE ST 2065-1.
AP0 = [(0.7347, 0.2653), (0.0, 1.0), (0.0001, -0.077)]
ORIGINALS, RESULTS = "originals/o.%04d.dpx", "{}/r.%04d.{}"
CHAIN = "input-transform encoding=LogC3 | exposure stops=0.5 | white-balance from=3200K | "
# Ending, what ends our chain, the colour space and the settings of the other program.
JOBS = [
    ("dpx", "output-transform display=BT.1886 rendering=plain", "BT.1886", ["-d", "uint10"]),
    ("exr", "encode encoding=ACEScg", "ACEScg", ["-d", "half", "--compression", "zip"]),
]


def make_originals(greywright, folder):
    """The demo's three shots as one sequence."""
    originals = folder / "originals"
    if originals.is_dir():
        return
    demo = folder / "demo"
    subprocess.run([greywright, "demo", demo, "--size", SIZE, "--frames", str(FRAMES_A_SHOT)], check=True)
    originals.mkdir()
    for place, shot in enumerate(SHOTS):
        for number, frame in enumerate(sorted((demo / shot).glob("*.dpx")), start=place * FRAMES_A_SHOT + 1):
            os.rename(frame, folder / (ORIGINALS % number))
    shutil.rmtree(demo)


def config():
    """An OpenColorIO configuration whose LogC3 and results part by the four operations.

    Equal RGB in AP1 stands for D65 by the Bradford adaptation from the white of ACES; the white balance is the Bradford
    adaptation from the light's white to D65 in that frame.
    """
    d65_from_ap0 = adaptation(ACES_WHITE, D65, "Bradford") @ xyz_from_rgb(AP0, ACES_WHITE)
    balanced = 2.0**0.5 * adaptation(xy_from_uv(planckian_uv(3200)), D65, "Bradford") @ d65_from_ap0
    ap1 = np.linalg.inv(adaptation(ACES_WHITE, D65, "Bradford") @ xyz_from_rgb(AP1, ACES_WHITE)) @ balanced
    bt709 = np.linalg.inv(xyz_from_rgb(BT709, D65)) @ balanced

    def matrix(values):
        padded = np.eye(4)
        padded[:3, :3] = values
        return ocio.MatrixTransform(padded.ravel().tolist())

    log = ocio.BuiltinTransform("ARRI_ALEXA-LOGC-EI800-AWG_to_ACES2065-1")
    display = ocio.ExponentTransform([1 / 2.4] * 3 + [1.0])
    display.setNegativeStyle(ocio.NEGATIVE_CLAMP)
    forward = ocio.COLORSPACE_DIR_FROM_REFERENCE
    made = ocio.Config()
    made.setVersion(2, 1)
    made.addColorSpace(ocio.ColorSpace(name="ACES2065-1"))
    made.setRole("default", "ACES2065-1")
    made.setRole("scene_linear", "ACES2065-1")
    made.addColorSpace(ocio.ColorSpace(name="LogC3", toReference=log))
    made.addColorSpace(ocio.ColorSpace(name="ACEScg", fromReference=matrix(ap1)))
    made.addColorSpace(ocio.ColorSpace(name="BT.1886", fromReference=ocio.GroupTransform([matrix(bt709), display])))
    return made.serialize()


def timed(command):
    """Seconds a frame by the clock and of both cores; what was printed."""
    before, started = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    wall, after = time.perf_counter() - started, resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return wall / FRAMES, spent / FRAMES, done.stdout


def difference(folder, ending, ours, theirs):
    """How far the two programs' pixels are apart: in 10-bit codes, or as a share of the value in halves."""
    worst, apart, pixels = 0.0, 0, 0
    for number in range(1, FRAMES + 1, FRAMES_A_SHOT):
        a, b = (oiio.ImageBuf(str(folder / (RESULTS.format(who, ending) % number))).get_pixels(oiio.FLOAT) for who in (ours, theirs))
        if ending == "dpx":
            off = np.abs(np.round(a * 1023) - np.round(b * 1023))
        else:
            # Below one in ten thousand of white a share says nothing.
            off = np.abs(a - b) / np.maximum(np.abs(b), 1e-4)
        worst, apart, pixels = max(worst, float(off.max())), apart + int((off >= (1 if ending == "dpx" else 2**-10)).sum()), pixels + off.size
    return worst, apart / pixels


def main():
    words = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    words.add_argument("greywright")
    words.add_argument("--folder", type=Path, required=True)
    words.add_argument("--oiiotool", default=str(Path(sys.executable).parent / "oiiotool"))
    words.add_argument("--rounds", type=int, default=3)
    given = words.parse_args()
    folder, greywright = given.folder, str(Path(given.greywright).resolve())
    folder.mkdir(parents=True, exist_ok=True)
    make_originals(greywright, folder)
    colours = folder / "colours.ocio"
    colours.write_text(config())
    os.environ["GREYWRIGHT_ADAPTER"] = "software"
    for ending, last, space, settings in JOBS:
        out = {}
        for who in ("ours", "frame by frame", "frames side by side"):
            out[who] = folder / f"{who}-{ending}".replace(" ", "-")
            shutil.rmtree(out[who], ignore_errors=True)
            out[who].mkdir()
        place = {who: str(folder / RESULTS.format(out[who].name, ending)) for who in out}
        originals = str(folder / ORIGINALS)
        theirs = lambda who, *more: [given.oiiotool, "--threads", "2", "--colorconfig", str(colours), *more, "--frames", f"1-{FRAMES}",
                                     originals, "--colorconvert", "LogC3", space, *settings, "-o", place[who]]
        commands = {
            "ours": [greywright, "render", originals, place["ours"], "--chain", CHAIN + last, "--timings", "--json"],
            "frame by frame": theirs("frame by frame"),
            "frames side by side": theirs("frames side by side", "--parallel-frames"),
        }
        taken = {who: [] for who in commands}
        for _ in range(given.rounds):
            for who, command in commands.items():
                taken[who].append(timed(command))
        print(f"\n{ending}, {SIZE}, {FRAMES} frames, median of {given.rounds} rounds in turns, load {os.getloadavg()[0]:.1f}")
        median = {who: [statistics.median(one[at] for one in rounds) for at in (0, 1)] for who, rounds in taken.items()}
        for who, (wall, spent) in median.items():
            size = sum(path.stat().st_size for path in out[who].iterdir()) / FRAMES / 1e6
            name = "greywright" if who == "ours" else f"oiiotool, {who}"
            ratio = "" if who == "ours" else f"  {wall / median['ours'][0]:.2f} times the time, {spent / median['ours'][1]:.2f} times the work"
            print(f"  {name:30} {wall:.3f} s a frame, {spent:.3f} s of the cores, {size:.2f} MB{ratio}")
        print("  rounds, s a frame: " + "; ".join(f"{who} " + ", ".join(f"{one[0]:.3f}" for one in rounds) for who, rounds in taken.items()))
        worst, share = difference(folder, ending, out["ours"].name, out["frame by frame"].name)
        unit = "codes" if ending == "dpx" else "of the value"
        print(f"  the two programs' pixels: at most {worst:.4g} {unit} apart; {share:.2e} of the samples a step of the file apart")
        report = json.loads(sorted(taken["ours"])[len(taken["ours"]) // 2][2])
        for row in report["timings"]["stages"]:
            part = f" (in {row['part_of']})" if row.get("part_of") else ""
            print(f"    {row['stage']:18} {row['seconds'] * 1e3:8.1f} ms{part}")
        print(f"    {'wall':18} {report['timings']['wall'] * 1e3:8.1f} ms")


if __name__ == "__main__":
    main()
