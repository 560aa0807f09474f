"""The part list as a table of text: CSV from an editor or a spreadsheet.

Commas, semicolons or tabs between the cells, whichever the heading has most of; quotes
and line breaks inside them as spreadsheets write them. Cells stay text here.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from nesting.files.faults import FaultList, Spot, nearest, shown, suggestion
from nesting.files.text import TextFile

COLUMNS: Final = (
    "part",
    "qty",
    "material",
    "section",
    "length",
    "width",
    "thickness",
    "grain",
    "extra_length",
    "extra_width",
    "extra_thickness",
    "build",
    "joints",
    "edging",
    "edges",
    "fitted",
    "clear",
    "match",
    "flow",
    "priority",
    "note",
)
"""The columns of a part list, and the keys of a ``[[part]]`` table."""
MOST_ROWS: Final = 20_000

_DELIMITERS: Final = ",;\t"
_MEANT: Final = {
    "name": "part",
    "part_name": "part",
    "quantity": "qty",
    "count": "qty",
    "number": "qty",
    "pcs": "qty",
    "pieces": "qty",
    "stock": "material",
    "wood": "material",
    "joint": "joints",
    "joinery": "joints",
    "tenons": "joints",
    "construction": "build",
    "banding": "edging",
    "lipping": "edging",
    "thick": "thickness",
    "run": "match",
    "notes": "note",
    "comment": "note",
    "remark": "note",
    "description": "note",
}
"""Other words for the columns, for the hint only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """One row of a part list, from whichever file."""

    cells: Mapping[str, object]
    """What is given, by column; nothing for an empty cell."""
    spots: Mapping[str, Spot]
    """Where each given cell stands."""
    spot: Spot
    """Where the row stands."""

    def at(self, column: str) -> Spot:
        """Return the place of a cell, given or not."""
        place = Spot(path=self.spot.path, line=self.spot.line, field=column)
        return self.spots.get(column, place)


def read_rows(
    file: TextFile, needed: tuple[str, ...], faults: FaultList
) -> list[PartRow]:
    """Return the rows of a part list; what is wrong with its form is noted.

    Parameters
    ----------
    file
        The part list.
    needed
        The columns that must be there.
    faults
        Where faults are noted.
    """
    records = _records(file, faults)
    heading = next(records, None)
    if heading is None:
        return []
    columns = _columns(file.path, heading, needed, faults)
    if columns is None:
        return []
    rows: list[PartRow] = []
    for line, cells in records:
        if len(rows) == MOST_ROWS:
            what = f"there are more than {MOST_ROWS} parts"
            faults.add(Spot(path=file.path, line=line), what, "split the job")
            break
        row = _row(file.path, line, cells, columns, faults)
        if row is not None:
            rows.append(row)
    return rows


def column_name(heading: str) -> str:
    """Return a heading as the columns are named: ``Extra length`` is extra_length."""
    return re.sub(r"[\s-]+", "_", heading.strip()).casefold()


def column_hint(name: str) -> str:
    """Return what a column that is not known was probably meant to be."""
    if name in _MEANT:
        return f"did you mean {_MEANT[name]!r}?"
    return suggestion(name, COLUMNS)


def _meant(name: str) -> str | None:
    """Return the column that a heading is, or is likely to stand for."""
    return name if name in COLUMNS else _MEANT.get(name) or nearest(name, COLUMNS)


def _records(file: TextFile, faults: FaultList) -> Iterator[tuple[int, list[str]]]:
    """Yield the line and the stripped cells of each record that is not blank."""
    first = next(line for line in file.text.splitlines() if line.strip())
    delimiter = max(_DELIMITERS, key=first.count)
    stream = io.StringIO(file.text, newline="")
    reader = csv.reader(stream, delimiter=delimiter, strict=True)
    line = 1
    try:
        for record in reader:
            cells = [cell.strip() for cell in record]
            if any(cells):
                yield line, cells
            line = reader.line_num + 1
    except csv.Error as error:
        reason = str(error)
        remedy = 'a cell that begins with a quote ends with one: "2"" strip"'
        what = f"the row cannot be read ({reason})"
        if "unexpected end" in reason:
            what = "a cell begins with a quote that is never closed"
        elif "field larger" in reason:
            what = "a cell is far too long"
        faults.add(Spot(path=file.path, line=line), what, remedy)


def _columns(
    path: str,
    heading: tuple[int, list[str]],
    needed: tuple[str, ...],
    faults: FaultList,
) -> list[str] | None:
    """Return the column of each cell, empty for none; None if no row can be read."""
    line, cells = heading
    spot = Spot(path=path, line=line)
    names = [column_name(cell) for cell in cells]
    if not {"part", "qty", "material"} & {_meant(name) for name in names}:
        what = f"the first row {shown(' '.join(cells))} names no column known here"
        remedy = "begin with a row of headings: part,qty,material,length,width"
        faults.add(spot, what, remedy)
        return None
    columns: list[str] = []
    for name, cell in zip(names, cells, strict=True):
        where = Spot(path=path, line=line, field=cell)
        if name in columns and name:
            faults.add(where, f"the column {cell!r} is there twice", "keep one")
            name = ""
        elif name not in COLUMNS and name:
            what = f"{shown(cell)} is no column of a part list"
            faults.add(where, what, column_hint(name))
            name = _meant(name) or "?"  # as meant, so that its cells are looked at too
        columns.append(name)
    missing = [name for name in needed if name not in columns]
    for name in missing:
        faults.add(spot, f"the column {name!r} is missing", "add it to the headings")
    return None if missing else columns


def _row(
    path: str, line: int, cells: list[str], columns: list[str], faults: FaultList
) -> PartRow | None:
    """Return one row, or None after noting that its cells do not match the headings."""
    spot = Spot(path=path, line=line)
    if len(cells) != len(columns):
        what = f"the row has {len(cells)} cells, the headings are {len(columns)}"
        remedy = "leave unused cells empty but keep their commas"
        if len(cells) > len(columns):
            remedy = "a text or number with a comma in it stands in quotes"
        faults.add(spot, what, remedy)
        return None
    given = {column: cell for column, cell in zip(columns, cells, strict=True) if cell}
    if "" in given:
        what = f"the cell {shown(given[''])} has no heading above it"
        faults.add(spot, what, "give its column a heading, or clear it")
        return None
    given.pop("?", None)
    spots = {name: Spot(path=path, line=line, field=name) for name in given}
    return PartRow(cells=given, spots=spots, spot=spot)
