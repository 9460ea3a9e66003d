"""Makes the tables of tests/data again, from colour-science, OpenColorIO and numpy and never from this project's own code.

    make_tables.py FOLDER              write every table into FOLDER
    make_tables.py --compare FOLDER    make them in memory and compare with those in FOLDER;
                                       exit 1 naming file, row and column of the first difference in each table

Two runs on different machines may differ in the last digits (mathematical libraries do), so numbers compare to
1e-12 of their size, and of 1 for smaller numbers (a steep column and single floats to what is said of them below);
everything else compares as text.
"""

import sys
import warnings
from pathlib import Path

# colour-science warns of optional packages that none of this needs.
warnings.filterwarnings("ignore")
# The checkout stays as it is.
sys.dont_write_bytecode = True

import aces  # noqa: E402
import curves  # noqa: E402
import differences  # noqa: E402
import light  # noqa: E402
import range_codes  # noqa: E402
import signals  # noqa: E402
import tone_mapping  # noqa: E402
import verdicts  # noqa: E402

TABLES = [
    *aces.TABLES, *curves.TABLES, *light.TABLES, *differences.TABLES, *range_codes.TABLES, *signals.TABLES,
    *tone_mapping.TABLES, *verdicts.TABLES,
]
TOLERANCE = 1e-12
# Ohno's method fits a parabola to differences of a millionth, so these part sooner: by 2e-12 between two machines.
STEEP = {"ohno_cct": 1e-11, "ohno_duv": 1e-11}
# Single floats, to their last bits and what some powers make of these.
SINGLE = 2e-6


def tolerance(column):
    return SINGLE if column.endswith("_f32") else STEEP.get(column, TOLERANCE)


def write(folder):
    folder.mkdir(parents=True, exist_ok=True)
    for make in TABLES:
        table = make()
        (folder / table.name).write_text(table.text(), encoding="utf-8", newline="\n")
        print(f"{table.name}: {len(table.rows)} rows")


def rows_of(text):
    """The header and data rows; comments may tell of other versions without any number changing."""
    return [line.split("\t") for line in text.splitlines() if not line.startswith("#")]


def same(a, b, tolerance):
    if a == b:
        return True
    try:
        a, b = float(a), float(b)
    except ValueError:
        return False
    return abs(a - b) <= tolerance * max(1.0, abs(a), abs(b))


def first_difference(made, kept):
    if len(made) != len(kept):
        return f"{len(kept)} rows, remade {len(made)}"
    header = made[0]
    for number, (new, old) in enumerate(zip(made, kept)):
        if len(new) != len(old):
            return f"row {number}: {len(old)} columns, remade {len(new)}"
        for column, (a, b) in enumerate(zip(new, old)):
            if not same(a, b, tolerance(header[column])):
                return f"row {number}, column {header[column]}: {b}, remade {a}"
    return None


def compare(folder):
    failed = False
    for make in TABLES:
        table = make()
        path = folder / table.name
        if not path.exists():
            difference = "missing; make it with make_tables.py"
        else:
            difference = first_difference(rows_of(table.text()), rows_of(path.read_text(encoding="utf-8")))
        if difference:
            failed = True
            print(f"{path}: {difference}", file=sys.stderr)
    print("tables differ" if failed else f"{len(TABLES)} tables agree")
    return 1 if failed else 0


def main(arguments):
    match arguments:
        case ["--compare", folder]:
            return compare(Path(folder))
        case [folder] if not folder.startswith("-"):
            write(Path(folder))
            return 0
    print(__doc__, file=sys.stderr)
    return 2


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
