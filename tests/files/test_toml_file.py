"""TOML: the line of every key, whatever stands around it."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.files.faults import FaultList
from nesting.files.text import TextFile
from nesting.files.toml_file import dotted, key_lines, parse_toml

TEXT = '''\
# a comment with [brackets] and = signs
[job]
name = "x # y"   # [not a table]
a.b = 1
[[saw]]
kind = """
first [line]
"""
kerf = { x = 1, "q r" = [1,
  2, 3] }
[[saw]]
[materials."birch ply"]
[[materials."birch ply".stock]]
lengths = [
  ["8 ft", 5.4],
  # ] a comment
  ["10 ft", 7],
]
[[materials."birch ply".stock]]
'w' = 2
"esc\\u0061ped" = '\\'
last = "end"
'''


@pytest.mark.parametrize(
    ("keys", "line"),
    [
        (("job",), 2),
        (("job", "name"), 3),
        (("job", "a", "b"), 4),
        (("saw", 0), 5),
        (("saw", 0, "kind"), 6),
        (("saw", 0, "kerf", "x"), 9),
        (("saw", 0, "kerf", "q r", 1), 10),
        (("saw", 1), 11),
        (("materials", "birch ply"), 12),
        (("materials", "birch ply", "stock", 0, "lengths", 1), 17),
        (("materials", "birch ply", "stock", 1), 19),
        (("materials", "birch ply", "stock", 1, "w"), 20),
        (("materials", "birch ply", "stock", 1, "escaped"), 21),
        (("materials", "birch ply", "stock", 1, "last"), 22),
    ],
)
def test_lines_of_keys(keys, line):
    """Each key, table and item of a list is found on its own line."""
    assert key_lines(TEXT)[keys] == line
    assert key_lines(TEXT.replace("\n", "\r\n"))[keys] == line


def test_place_of_what_has_no_line_is_its_table():
    """A key that is not there is shown at the table that lacks it."""
    file = TextFile(path="job.toml", text=TEXT, raw=b"")
    toml = parse_toml(file, FaultList())
    assert toml is not None
    spot = toml.spot("saw", 1, "kerf")
    assert (spot.line, spot.field) == (11, "saw[2].kerf")


def test_dotted_counts_from_one():
    """Places in lists are counted as people count."""
    assert dotted(("saw", 0, "cuts", 2)) == "saw[1].cuts[3]"


SCALARS = st.one_of(
    st.integers(0, 99).map(str),
    st.sampled_from(['"a = [b] # c"', "'[x]'", '"""\n[y]\n z = 1"""', "true", "1.5"]),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda v: "[\n" + ",\n".join(v) + "\n]"),
        st.lists(inner, max_size=3).map(
            lambda v: "{" + ", ".join(f"k{i} = {x}" for i, x in enumerate(v)) + "}"
        ),
    ),
    max_leaves=6,
)


@given(st.lists(VALUES, min_size=1, max_size=6))
def test_lines_hold_among_any_values(values):
    """The line of a key is right whatever values stand before it."""
    text, lines = "", {}
    for number, value in enumerate(values):
        lines[f"key{number}"] = text.count("\n") + 1
        text += f"key{number} = {value}\n"
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return  # a list over several lines in an inline table
    found = key_lines(text)
    assert {key: found[(key,)] for key in lines} == lines
