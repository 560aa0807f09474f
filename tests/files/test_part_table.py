"""Part lists as tables: what editors and spreadsheets write."""

import pytest

from nesting.errors import InputError
from nesting.files.faults import FaultList
from nesting.files.part_table import read_rows
from nesting.files.text import TextFile

NEEDED = ("part", "qty", "material", "length")


def rows(text):
    """Return the rows of a sound part list."""
    faults = FaultList()
    file = TextFile(path="parts.csv", text=text, raw=b"")
    read = read_rows(file, NEEDED, faults)
    faults.raise_any()
    return read


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_delimiters_and_line_ends(delimiter, end):
    """Commas, semicolons and tabs are understood, and any kind of line end."""
    text = end.join(
        delimiter.join(cells)
        for cells in (
            ["Part", "QTY", "material", "Extra length", "length"],
            ["side", "2", "ply", "", "23 1/2"],
        )
    )
    (row,) = rows(text)
    assert row.cells == {
        "part": "side",
        "qty": "2",
        "material": "ply",
        "length": "23 1/2",
    }
    assert (row.at("qty").line, row.at("qty").field) == (2, "qty")


def test_decimal_commas_in_lists_with_semicolons():
    """Where semicolons part the cells, a comma is a decimal comma."""
    (row,) = rows("part;qty;material;length;width\nside;2;ply;600,5;12,25\n")
    assert (row.cells["length"], row.cells["width"]) == ("600,5", "12,25")


def test_lines_are_counted_over_line_breaks_in_cells():
    """A cell over several lines and blank lines do not shift the lines of faults."""
    text = (
        'part,qty,material,length,note\na,1,ply,9,"two\n\nlines"\n\n,,,,\nb,1,ply,8,\n'
    )
    first, second = rows(text)
    assert (first.spot.line, second.spot.line) == (2, 7)
    assert first.cells["note"] == "two\n\nlines"


def test_inch_marks_need_no_quotes():
    """Inch and foot marks stand in a cell as they are, or quoted as spreadsheets do."""
    text = 'part,qty,material,length,width\na,1,ply,23 1/2",2\' 3"\nb,1,ply,"9""",8\n'
    first, second = rows(text)
    assert (first.cells["length"], first.cells["width"]) == ('23 1/2"', "2' 3\"")
    assert second.cells["length"] == '9"'


def test_every_faulty_row_is_told():
    """Faults of the form are told row by row, not only the first."""
    with pytest.raises(InputError) as caught:
        rows("part,qty,material,length\na,1,ply\nb,1,ply,9\nc,1,ply,9,9\n")
    assert [fault.line for fault in caught.value.faults] == [2, 4]
