"""A table of check values: a source line, notes, a header row, and rows of numbers in full."""

import dataclasses

import colour
import numpy as np


def cell(value):
    """Doubles with all their digits, so that reading them back gives the same number."""
    if isinstance(value, (float, np.floating)):
        return repr(float(value))
    if isinstance(value, (int, np.integer)):
        return str(int(value))
    return str(value)


@dataclasses.dataclass
class Table:
    name: str
    source: str
    columns: list
    rows: list
    notes: tuple = ()

    def text(self):
        lines = [
            f"# source: {self.source}",
            f"# computed with: colour-science {colour.__version__}, numpy {np.__version__}",
            *(f"# note: {note}" for note in self.notes),
            "\t".join(self.columns),
        ]
        for row in self.rows:
            assert len(row) == len(self.columns), (self.name, row)
            lines.append("\t".join(cell(v) for v in row))
        return "\n".join(lines) + "\n"


MATRIX_COLUMNS = [f"m{row}{column}" for row in range(3) for column in range(3)]
