"""The page of figures is what the program's own data give."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from types import ModuleType

PAGE = Path(__file__).resolve().parents[2] / "docs" / "figures.md"
Loader = Callable[[str], ModuleType]


def test_the_page_is_up_to_date(script: Loader) -> None:
    """scripts/write_figures.py writes it anew."""
    text = script("write_figures").figures_text()
    assert PAGE.read_text(encoding="utf-8") == text


def test_every_figure_has_a_source(script: Loader) -> None:
    """No row of the first table ends with an empty cell."""
    table = script("write_figures").figures_text().split("Which figures")[0]
    rows = [line for line in table.splitlines() if line.startswith("| ")]
    assert len(rows) > 120
    assert all(row.split(" | ")[-1].strip(" |") for row in rows)


def test_strips_are_measured(script: Loader) -> None:
    """A job of the script is planned twice, and free strips cost no more."""
    strips = script("strip_widths")
    row = strips.measure(strips.make_job(2), 2, 4_000)
    assert 0 < row.free_cents <= row.equal_cents
    assert "strips" in row.widths
