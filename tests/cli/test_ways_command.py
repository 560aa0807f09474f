"""Other ways to cut a job are written beside the plan, and can be taken or drawn."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from nesting.cli import main
from nesting.pipeline import WAYS

SHEET = ("--sheet", "ply = 96 x 48 x 1/2 @ 62.50", "--units", "inch")
LIST = """part,qty,length,width,grain
side,9,30,11,any
shelf,7,24,11,any
box end,8,13,12,any
door,4,29,15,any
rail,5,22,8,any
top,3,17,16,any
kick,4,31,9,any
panel,2,26,14,any
slat,6,19,7,any
"""


def run(*words: str | Path) -> Result:
    """Run a command in this process."""
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture
def shelves(tmp_path: Path) -> Path:
    """Return a part list whose sheets can be cut in several ways."""
    path = tmp_path / "shelves.csv"
    path.write_text(LIST, encoding="utf-8")
    return path


def names(folder: Path) -> set[str]:
    """Return the ways that are written beside a plan."""
    return {path.stem for path in folder.glob("*.json")} - {"plan"}


def test_ways_are_written_and_one_is_taken(shelves: Path, tmp_path: Path) -> None:
    """Each is sound; the one that is taken is the plan, and the rest lie beside it."""
    out = tmp_path / "out"
    words = ("plan", shelves, *SHEET, "--work", "60000", "--seconds", "300")
    first = run(*words, "--out", out)
    assert first.exit_code == 0, first.output
    others = names(out)
    assert others
    assert others <= set(WAYS)
    for name in others:
        assert f"\n  {name} " in first.output
        assert f"{name}.json" in first.output
        assert run("verify", out / f"{name}.json").output == "sound\n"
    name = sorted(others)[0]
    written = json.loads((out / f"{name}.json").read_text(encoding="utf-8"))
    drawn = run("draw", out / f"{name}.json")
    assert drawn.exit_code == 0, drawn.output
    assert (out / f"{name}.pdf").stat().st_size > 1_000
    again = run(*words, "--out", out, "--way", name)
    assert again.exit_code == 0, again.output
    assert names(out) == (others - {name}) | {"cheapest"}
    taken = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    assert taken["layouts"] == written["layouts"]


def test_ways_of_an_earlier_plan_do_not_stay(shelves: Path, tmp_path: Path) -> None:
    """They belong to another job now."""
    out = tmp_path / "out"
    out.mkdir()
    (out / "simplest.json").write_text("{}", encoding="utf-8")
    (out / "mine.json").write_text("{}", encoding="utf-8")
    shelves.write_text("part,qty,length,width\nside,1,30,11\n", encoding="utf-8")
    assert run("plan", shelves, *SHEET, "--out", out).exit_code == 0
    assert names(out) == {"mine"}
