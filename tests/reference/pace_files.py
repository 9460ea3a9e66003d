"""Seconds a frame from 4K 10-bit DPX to 10-bit DPX and to half-float OpenEXR (zip), beside OpenImageIO's oiiotool.

A measure, not a test: both programs convert the same files, in turns, without a GPU. The conversion is LogC3 to light, half
a stop up, a white balance, and out: to BT.1886, or to ACEScg in halves. oiiotool does it in one step of OpenColorIO, which
merges the matrices as well, and in both ways it has: frame by frame on two threads, and two frames side by side. The frames
are the demo's, with its grain.

    python tests/reference/pace_files.py target/release/greywright --folder FOLDER

FOLDER should lie in memory, so that no disk is measured; 4 GB are needed. Its originals are kept for the next run.
"""

import argparse
import json
import os
import resource
import shutil
import statistics
import subprocess
import time
from pathlib import Path

import numpy as np
import OpenImageIO as oiio
import PyOpenColorIO as ocio
from colorimetry import ACES_WHITE, AP1, BT709, D65, adaptation, xyz_from_rgb

SHOTS = ["deck_010", "galley_010", "wheelhouse_010"]
FRAMES_A_SHOT = 8
FRAMES = len(SHOTS) * FRAMES_A_SHOT
SIZE = "3840x2160"
# SMPTE ST 2065-1.
AP0 = [(0.7347, 0.2653), (0.0, 1.0), (0.0001, -0.077)]
# Near a black body of 3200 K; by x and y, so that no locus enters.
LIGHT = (0.4234, 0.3990)
CHAIN = f"input-transform encoding=LogC3 | exposure stops=0.5 | white-balance from={LIGHT[0]},{LIGHT[1]} | "
# Ending; what ends our chain; the colour space and the settings for oiiotool; samples below this share are left out
# of the comparison, as the display's root is too steep there and halves of the difference of colours too coarse.
JOBS = [
    ("dpx", "output-transform display=BT.1886 rendering=plain", "BT.1886", ["-d", "uint10"], 0.05),
    ("exr", "encode encoding=ACEScg", "ACEScg", ["-d", "half", "--compression", "zip"], 0.01),
]
OURS, ONE, TWO = "greywright", "oiiotool, frame by frame", "oiiotool, two side by side"


def make_originals(greywright, folder):
    """The demo's three shots as one sequence."""
    originals = folder / "originals"
    if not originals.is_dir():
        demo = folder / "demo"
        quick = ["--shots", ",".join(SHOTS), "--truth", "first", "--no-faults"]
        subprocess.run([greywright, "demo", demo, "--size", SIZE, "--frames", str(FRAMES_A_SHOT), *quick], check=True)
        (folder / "part").mkdir(exist_ok=True)
        frames = [frame for shot in SHOTS for frame in sorted((demo / shot).glob("*.dpx"))]
        for number, frame in enumerate(frames, start=1):
            frame.rename(folder / "part" / f"o.{number:04}.dpx")
        (folder / "part").rename(originals)
        shutil.rmtree(demo)
    return str(originals / "o.%04d.dpx")


def matrix(values):
    padded = np.eye(4)
    padded[:3, :3] = values
    return ocio.MatrixTransform(padded.ravel().tolist())


def colours():
    """An OpenColorIO configuration whose LogC3 and results part by the four operations.

    Equal RGB in AP1 stands for D65 by the Bradford adaptation from the white of ACES; the white balance is the Bradford
    adaptation from the light to D65 in that frame.
    """
    to_d65 = adaptation(ACES_WHITE, D65, "Bradford")
    balanced = 2.0**0.5 * adaptation(LIGHT, D65, "Bradford") @ to_d65 @ xyz_from_rgb(AP0, ACES_WHITE)
    root = ocio.ExponentTransform([1 / 2.4, 1 / 2.4, 1 / 2.4, 1.0])
    display = ocio.GroupTransform([matrix(np.linalg.inv(xyz_from_rgb(BT709, D65)) @ balanced), root])
    scene = matrix(np.linalg.inv(to_d65 @ xyz_from_rgb(AP1, ACES_WHITE)) @ balanced)
    log = ocio.BuiltinTransform("ARRI_ALEXA-LOGC-EI800-AWG_to_ACES2065-1")
    made = ocio.Config()
    # The oldest with built-in transforms: OpenImageIO brings an OpenColorIO of its own.
    made.setVersion(2, 0)
    made.addColorSpace(ocio.ColorSpace(name="ACES2065-1"))
    made.setRole("default", "ACES2065-1")
    made.addColorSpace(ocio.ColorSpace(name="LogC3", toReference=log))
    made.addColorSpace(ocio.ColorSpace(name="ACEScg", fromReference=scene))
    made.addColorSpace(ocio.ColorSpace(name="BT.1886", fromReference=display))
    return made.serialize()


def timed(command):
    """Seconds a frame by the clock, and of processor time on all threads; and what was printed."""
    before, started = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True)
    wall, after = time.perf_counter() - started, resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return wall / FRAMES, spent / FRAMES, done.stdout


def apart(ours, theirs, floor):
    """How far pixels are apart: the most, and the mean; in 10-bit codes, or as a share of the value in halves."""
    a, b = (oiio.ImageBuf(str(path)).get_pixels(oiio.FLOAT) for path in (ours, theirs))
    off = np.abs(np.round(a * 1023) - np.round(b * 1023)) if ours.suffix == ".dpx" else np.abs(a - b) / np.maximum(b, floor)
    off = off[b > floor]
    return float(off.max()), float(off.mean())


def measure(given, originals, configuration, job):
    ending, last, space, settings, floor = job
    folders = {who: given.folder / f"{ending}-{place}" for place, who in enumerate((OURS, ONE, TWO))}
    for folder in folders.values():
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir()
    out = {who: str(folder / f"r.%04d.{ending}") for who, folder in folders.items()}
    oiiotool = [given.oiiotool, "--threads", "2", "--colorconfig", configuration, "--frames", f"1-{FRAMES}"]
    convert = [originals, "--colorconvert", "LogC3", space, *settings, "-o"]
    commands = {
        OURS: [given.greywright, "render", originals, out[OURS], "--chain", CHAIN + last, "--timings", "--json"],
        ONE: [*oiiotool, *convert, out[ONE]],
        TWO: [*oiiotool, "--parallel-frames", *convert, out[TWO]],
    }
    rounds = [{who: timed(command) for who, command in commands.items()} for _ in range(given.rounds)]
    print(f"\n{ending}, {SIZE}, {FRAMES} frames, median of {given.rounds} rounds in turns, load {os.getloadavg()[0]:.1f}")
    for who, folder in folders.items():
        wall, spent = (statistics.median(one[who][at] for one in rounds) for at in (0, 1))
        slower, dearer = (statistics.median(one[who][at] / one[OURS][at] for one in rounds) for at in (0, 1))
        size = sum(path.stat().st_size for path in folder.iterdir()) / FRAMES / 1e6
        print(f"  {who:27} {wall:6.3f} s a frame, x {slower:.2f}; processor {spent:6.3f} s, x {dearer:.2f}; {size:.2f} MB")
    report = json.loads(min(rounds, key=lambda one: one[OURS][0])[OURS][2])["timings"]
    print("  our quickest round, a frame:")
    for row in report["stages"]:
        part = f" (in '{row['part_of']}')" if row.get("part_of") else ""
        print(f"    {row['stage']:18} {row['seconds'] * 1e3:7.1f} ms{part}")
    print(f"    {'wall':18} {report['wall'] * 1e3:7.1f} ms")
    a_frame_a_shot = range(1, FRAMES + 1, FRAMES_A_SHOT)
    found = [apart(Path(out[OURS] % number), Path(out[ONE] % number), floor) for number in a_frame_a_shot]
    most, mean = max(most for most, _ in found), statistics.mean(mean for _, mean in found)
    unit = "codes" if ending == "dpx" else "of the value"
    print(f"  pixels of the two: {most:.4g} {unit} apart at most, {mean:.2g} on average, above {floor} of white")


def main():
    words = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    words.add_argument("greywright")
    words.add_argument("--folder", type=Path, required=True)
    words.add_argument("--oiiotool", default=str(Path(oiio.__file__).parent / "bin" / "oiiotool"))
    words.add_argument("--rounds", type=int, default=5)
    given = words.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    os.environ["GREYWRIGHT_ADAPTER"] = "software"
    originals = make_originals(given.greywright, given.folder)
    configuration = given.folder / "colours.ocio"
    configuration.write_text(colours())
    for job in JOBS:
        measure(given, originals, str(configuration), job)


if __name__ == "__main__":
    main()
