"""Measures the numbers of the demo's project on the grey card of each shot's first frame, as a person would.

    python ferry_numbers.py GREYWRIGHT DEMO_FOLDER PROJECT

DEMO_FOLDER is one that `greywright demo` wrote, large and with its noise; PROJECT is night_ferry.greywright of the crate
`demo`, which is written anew: what it says beside the numbers stays. Nothing is taken from the truth but where the card
lies, which a person sees. Each method is tuned until the card's three display codes are the same: white balance by the
chromaticity that the card reads, the others to the codes that this gives.
"""

import json
import re
import subprocess
import sys
from pathlib import Path

import numpy as np

# What a display code may be off by when the numbers have their last digit.
ENOUGH = 1e-5
OUT = "output-transform"


def codes(path, rect, bits):
    """Mean code of a rectangle, 0 to 1. SMPTE ST 268-1: 10 bits filled by method A, or bytes, from byte 2048 on."""
    data = path.read_bytes()
    width, height = (int.from_bytes(data[at : at + 4], "big") for at in (772, 776))
    if bits == 10:
        words = np.frombuffer(data, ">u4", width * height, 2048).reshape(height, width)
        rgb = np.stack([words >> 22, words >> 12 & 1023, words >> 2 & 1023], -1) / 1023
    else:
        rgb = np.frombuffer(data, np.uint8, width * height * 3, 2048).reshape(height, width, 3) / 255
    part = rgb[rect["y"] : rect["y"] + rect["height"], rect["x"] : rect["x"] + rect["width"]]
    return part.reshape(-1, 3).mean(0)


class Card:
    """A card's code with the program that renders it."""

    def __init__(self, program, shot, folder):
        name = shot["name"]
        path = folder / shot["pattern"].replace("%04d", "0001")
        self.program, self.name = program, name
        self.code = codes(path, shot["card"], path.read_bytes()[803])
        index = shot.get("exposure-index")
        self.into = f"input-transform encoding={shot['encoding']}" + (f" ei={index}" if index else "")

    def through(self, chain):
        row = ",".join(f"{code:.9f}" for code in self.code)
        run = [self.program, "eval", "--executor", "proof", "--chain", chain]
        told = subprocess.run(run, input=row + "\n", capture_output=True, text=True, check=True)
        return np.array([float(cell) for cell in told.stdout.strip().split(",")])

    def solve(self, chain, start, wanted):
        """Numbers that make `wanted` of the codes zero, by Newton's method with differences."""
        at = np.array(start, float)
        for _ in range(12):
            off = wanted(self.through(chain(at)))
            if np.abs(off).max() < ENOUGH:
                break
            slopes = []
            for which in range(len(at)):
                step = max(1e-3, abs(at[which]) * 1e-3) if abs(at[which]) > 0.05 else 1e-4
                moved = at.copy()
                moved[which] += step
                slopes.append((wanted(self.through(chain(moved))) - off) / step)
            at = at - np.linalg.solve(np.array(slopes).T, off)
        return at


def xy_of(acescg):
    """Chromaticity on a D65 white, of linear ACEScg (AP1 and its white: SMPTE ST 2065-1; Bradford adaptation)."""
    to_xyz = np.array(
        [
            [0.6624541811, 0.1340042065, 0.1561876870],
            [0.2722287168, 0.6740817658, 0.0536895174],
            [-0.0055746495, 0.0040607335, 1.0103391003],
        ]
    )
    bradford = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
    white = lambda x, y: np.array([x / y, 1, (1 - x - y) / y])
    gains = (bradford @ white(0.3127, 0.3290)) / (bradford @ white(0.32168, 0.33767))
    xyz = np.linalg.inv(bradford) @ np.diag(gains) @ bradford @ to_xyz @ acescg
    return xyz[:2] / xyz.sum()


def numbers(card):
    """The lines of a shot, in the order that the file has."""
    scene = card.through(card.into)
    luminance = scene @ np.array([0.2722287168, 0.6740817658, 0.0536895174])
    # A person moves exposure in twentieths of a stop, and leaves what is next to nothing.
    stops = round(float(np.log2(0.18 / luminance)) * 20) / 20
    stops = 0.0 if abs(stops) < 0.1 else stops
    x, y = (round(float(value), 4) for value in xy_of(scene))
    into = f"{card.into} | exposure stops={stops:+}"
    target = card.through(f"{into} | white-balance from={x},{y} to=D65 | {OUT}").mean()
    same = lambda codes: np.array([codes[0] - codes[1], codes[2] - codes[1]])
    equal = lambda codes: codes - target
    gains = card.solve(
        lambda at: f"{into} | {OUT} | channel-gain domain=display red={at[0]:.9f} green={at[1]:.9f} blue={at[2]:.9f}",
        target / card.through(f"{into} | {OUT}"),
        equal,
    )
    points = card.solve(
        lambda at: f"{card.into} | printer-points red={at[0]:.9f} blue={at[1]:.9f} all={at[2]:.9f} "
        f"| exposure stops={stops:+} | {OUT}",
        [0, 0, 0],
        equal,
    )
    shift = card.solve(lambda at: f"{into} | light-shift mired={at[0]:.9f} duv={at[1]:.9f} | {OUT}", [0, 0], same)
    taper = card.solve(lambda at: f"{into} | taper-balance mired={at[0]:.9f} duv={at[1]:.9f} | {OUT}", shift, same)
    plain = lambda value, digits: f"{round(float(value), digits) + 0.0:g}"
    rows = [
        ("channel-gain.red", plain(gains[0], 3), "1"),
        ("channel-gain.green", plain(gains[1], 3), "1"),
        ("channel-gain.blue", plain(gains[2], 3), "1"),
        ("exposure.stops", plain(stops, 2), "0"),
        ("light-shift.mired", plain(shift[0], 1), "0"),
        ("light-shift.duv", plain(shift[1], 4), "0"),
        ("printer-points.red", plain(points[0], 2), "0"),
        ("printer-points.blue", plain(points[1], 2), "0"),
        ("printer-points.all", plain(points[2], 2), "0"),
        ("taper-balance.mired", plain(taper[0], 1), "0"),
        ("taper-balance.duv", plain(taper[1], 4), "0"),
        ("white-balance.from", f"[{x:g}, {y:g}]", ""),
    ]
    return [f"numbers.{key}.base = {value}" for key, value, neutral in rows if value != neutral]


def main():
    program, folder, project = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
    text = project.read_text()
    for shot in json.loads((folder / "shots.json").read_text())["shots"]:
        lines = numbers(Card(program, shot, folder))
        print(shot["name"], *lines, sep="\n  ", flush=True)
        section = re.search(rf"\[shots\.{shot['name']}\]\n(?:[^\n]+\n)+", text)
        kept = [line for line in section[0].splitlines() if not line.startswith("numbers.")]
        text = text.replace(section[0], "\n".join(kept + lines) + "\n")
    project.write_text(text)


main()
