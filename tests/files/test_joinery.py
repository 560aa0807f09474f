"""Joints, builds and edging as makers write them, and what they write wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.errors import InputError
from nesting.files import read_job
from nesting.model.job import Job
from nesting.model.mill import (
    Allowances,
    BuildKind,
    Climate,
    Corner,
    Edging,
    Jointer,
    JointKind,
    Side,
    Wish,
)
from nesting.units import Unit, read_length

JOB = """
[job]
name = "Stool"
units = "inch"

[dimensions]
tenon = "1 1/4"

[materials.pine]
kind = "lumber"

[[materials.pine.stock]]
section = "2x4"
length = "8 ft"

[materials."birch ply"]
kind = "sheet"
thickness = "1/2"

[[materials."birch ply".stock]]
length = 96
width = 48
"""
HEAD = "part,qty,material,length,width,thickness,build,joints,edging,fitted\n"
ENDS = (Side.LEFT, Side.RIGHT)
EDGES = (Side.FRONT, Side.BACK)


def inches(text: str) -> int:
    """Return ticks of a size in inches."""
    return read_length(text, Unit.INCH)


def read(folder: Path, row: str, more: str = "") -> Job:
    """Return the job of one part."""
    (folder / "job.toml").write_text(JOB + more, encoding="utf-8")
    (folder / "parts.csv").write_text(f"{HEAD}{row}\n", encoding="utf-8")
    return read_job(folder)


def faults(folder: Path, row: str, more: str = "") -> list[str]:
    """Return the faults of a job."""
    with pytest.raises(InputError) as caught:
        read(folder, row, more)
    return [str(fault) for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("written", "expected", "overall"),
    [
        ("tenon 1 ends", [(JointKind.TENON, "1", ENDS)], False),
        ("Tenon 1 1/4 left", [(JointKind.TENON, "1 1/4", (Side.LEFT,))], False),
        ("through tenon 2 1/2 ends", [(JointKind.THROUGH_TENON, "2 1/2", ENDS)], False),
        ("tongue 1/4 front and back", [(JointKind.TONGUE, "1/4", EDGES)], False),
        ("lap 3/4 end", [(JointKind.LAP, "3/4", (Side.LEFT,))], False),
        ("horn 3/4 ends", [(JointKind.HORN, "3/4", ENDS)], False),
        ("panel 3/8", [(JointKind.PANEL, "3/8", tuple(Side))], False),
        ("panel 3/8 left right", [(JointKind.PANEL, "3/8", ENDS)], False),
        ("tenon tenon - 1/4 ends", [(JointKind.TENON, "1", ENDS)], False),
        (
            "overall; tenon 1 ends; tongue 1/4 edge",
            [(JointKind.TENON, "1", ENDS), (JointKind.TONGUE, "1/4", (Side.FRONT,))],
            True,
        ),
    ],
)
def test_joints(
    tmp_path: Path,
    written: str,
    expected: list[tuple[JointKind, str, tuple[Side, ...]]],
    overall: bool,
) -> None:
    """A kind, a size or a sum, and sides."""
    (part,) = read(tmp_path, f"rail,1,pine,20,2,1,,{written},,").parts
    found = [(joint.kind, joint.depth, joint.sides) for joint in part.joints]
    assert found == [(kind, inches(size), sides) for kind, size, sides in expected]
    assert part.is_overall is overall


@pytest.mark.parametrize(
    ("written", "word"),
    [
        ("tennon 1 ends", "tenon"),
        ("mortise 1 ends", "is no joint"),
        ("tenon ends", "no size"),
        ("tenon 1", "no side"),
        ("tenon 1 left ends", "one twice"),
        ("tenon -1 ends", "less than nothing"),
        ("tenon one ends", "one"),
        ("overall", "it has none"),
    ],
)
def test_joints_that_cannot_be_read(tmp_path: Path, written: str, word: str) -> None:
    """One sentence each, with line and column."""
    (said,) = faults(tmp_path, f"rail,1,pine,20,2,1,,{written},,")
    assert word in said
    assert "line 2, joints" in said


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("one piece", Wish(kind=BuildKind.ONE_PIECE)),
        ("As bought", Wish(kind=BuildKind.AS_BOUGHT)),
        ("laminated", Wish(kind=BuildKind.LAMINATED)),
        ("laminated 3", Wish(kind=BuildKind.LAMINATED, count=3)),
        ("edge-glued 5", Wish(kind=BuildKind.EDGE_GLUED, count=5)),
        ("on edge", Wish(kind=BuildKind.ON_EDGE)),
        ("resawn 2", Wish(kind=BuildKind.RESAWN, count=2)),
    ],
)
def test_builds(tmp_path: Path, written: str, expected: Wish) -> None:
    """A build, and how many plies, strips or slices."""
    (part,) = read(tmp_path, f"rail,1,pine,20,2,1,{written},,,").parts
    assert part.wish == expected


@pytest.mark.parametrize(
    ("written", "word"),
    [
        ("laminate", "did you mean 'laminated'"),
        ("one piece 2", "takes no number"),
        ("laminated two", "whole number"),
        ("laminated 1", "too few"),
        ("edge-glued 99", "too many"),
    ],
)
def test_builds_that_cannot_be_read(tmp_path: Path, written: str, word: str) -> None:
    """One sentence each, with line and column."""
    (said,) = faults(tmp_path, f"rail,1,pine,20,2,1,{written},,,")
    assert word in said
    assert "line 2, build" in said


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("pine 3/4 front", ("3/4", (Side.FRONT,), Corner.BUTT)),
        ("Pine 1 1/2 front left right mitre", ("1 1/2", None, Corner.MITRE)),
        ("pine 3/4 all butt", ("3/4", tuple(Side), Corner.BUTT)),
    ],
)
def test_edging(
    tmp_path: Path,
    written: str,
    expected: tuple[str, tuple[Side, ...] | None, Corner],
) -> None:
    """A material, a thickness, sides and a corner."""
    size, sides, corner = expected
    (part,) = read(tmp_path, f"shelf,1,birch ply,20,9,,,,{written},").parts
    assert part.edging == Edging(
        material="pine",
        thickness=inches(size),
        sides=sides or (Side.FRONT, Side.LEFT, Side.RIGHT),
        corner=corner,
    )


@pytest.mark.parametrize(
    ("written", "word"),
    [
        ("oak 3/4 front", "names no material"),
        ("pine 3/4", "names no side"),
        ("pine 3/4 front front", "one twice"),
        ("pine thick front", "thick"),
        ("front", "names no material"),
    ],
)
def test_edging_that_cannot_be_read(tmp_path: Path, written: str, word: str) -> None:
    """One sentence each, with line and column."""
    (said,) = faults(tmp_path, f"shelf,1,birch ply,20,9,,,,{written},")
    assert word in said
    assert "line 2, edging" in said


@pytest.mark.parametrize(("cell", "expected"), [("yes", True), ("no", False)])
def test_fitted(tmp_path: Path, cell: str, expected: bool) -> None:
    """Cut to fit the work, or not."""
    (part,) = read(tmp_path, f"rail,1,pine,20,2,1,,,,{cell}").parts
    assert part.is_fitted is expected


def test_what_is_not_said_of_machines_is_the_usual(tmp_path: Path) -> None:
    """Without tables, and with one of one key."""
    row = "rail,1,pine,20,2,1,,,,"
    job = read(tmp_path, row)
    assert job.shop.jointer == Jointer()
    assert job.allowances == Allowances()
    assert job.climate == Climate()
    job = read(tmp_path, row, "\n[jointer]\nwidth = 8\n[milling]\nsnipe = 2\n")
    assert job.shop.jointer == Jointer(width=inches("8"))
    assert job.allowances == Allowances(snipe=inches("2"))


def test_a_shop_without_a_planer(tmp_path: Path) -> None:
    """It is said under shop."""
    row = "rail,1,pine,20,2,1,,,,"
    job = read(tmp_path, row, '\n[shop]\nwithout = ["planer"]\n')
    assert job.shop.planer is None
    assert job.shop.jointer is not None
    more = '\n[shop]\nwithout = "planer"\n[planer]\nwidth = 12\n'
    (said,) = faults(tmp_path, row, more)
    assert "without a planer" in said


@pytest.mark.parametrize(
    ("more", "word"),
    [
        ("[jointer]\nwide = 6", "width"),
        ('[milling]\nflatten = "thin"', "thin"),
        ("[milling]\nsaw = 1", "no key here"),
        ("[climate]\ndry = 70\nhumid = 40", "lower one under dry"),
        ("[climate]\ndry = 120", "too many"),
        ('[shop]\nwithout = "bandsaw"', "none of the choices"),
        ('[materials.oak]\nkind = "lumber"\nspecies = "purple oak"', "no species"),
    ],
)
def test_tables_that_cannot_be_read(tmp_path: Path, more: str, word: str) -> None:
    """Each fault says what would do."""
    said = faults(tmp_path, "rail,1,pine,20,2,1,,,,", f"\n{more}\n")
    assert any(word in each for each in said)


def test_usual_allowances_of_a_metric_job_are_round() -> None:
    """1 in is 25.5 mm, 1/4 in 6.5, 1/8 in 3, 1/16 in 1.5."""
    usual = Allowances.usual(Unit.MM)
    found = (usual.rough_length, usual.rough_width, usual.flatten, usual.joint_edge)
    assert found == tuple(int(mm * 1600) for mm in (25.5, 6.5, 3, 1.5))
    assert Allowances.usual(Unit.INCH) == Allowances()
