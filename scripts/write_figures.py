"""Write docs/figures.md anew: every figure the program starts from, with its source."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from fractions import Fraction
from pathlib import Path
from typing import Final

from nesting.model.mill import Allowances
from nesting.trade.defaults import DEFAULTS, FIGURES
from nesting.trade.hardwood import HARDWOOD_THICKNESS
from nesting.trade.panels import (
    CATEGORY_SOURCE,
    DENSITIES,
    PANEL_CATEGORIES,
    SHEET_SIZES,
)
from nesting.trade.saws import SAWS
from nesting.trade.species import SPECIES
from nesting.units import Ticks, Unit, write_exact

FILE: Final = Path(__file__).resolve().parent.parent / "docs" / "figures.md"
_HEAD: Final = """# Figures the planner starts from

Every default and table of the program, with where it is from. None of them is a law:
what is marked as a setting is one of the job ([job-format.md](job-format.md)), and your
own measure goes before any of these. *Common practice* means that no source is claimed;
*from memory* that the source was not at hand when the figure was written down.
Written by `scripts/write_figures.py` from the data the program itself uses.
"""


def main() -> None:
    """Write the file."""
    FILE.write_text(figures_text(), encoding="utf-8", newline="\n")
    print(f"wrote docs/{FILE.name}")


def figures_text() -> str:
    """Return the whole page."""
    return "\n".join(_lines()) + "\n"


def _lines() -> Iterator[str]:
    yield _HEAD
    yield "| figure | inch | mm | source |"
    yield "| --- | --- | --- | --- |"
    for length in DEFAULTS.values():
        yield _row(length.name, *_both(length.value), length.source)
    for figure in FIGURES.values():
        value = f"{_number(figure.value)} {figure.unit}"
        yield _row(figure.name, value, "", figure.source)
    for kind, saw in SAWS.items():
        yield _row(f"kerf of a {kind.value}", *_both(saw.kerf.value), saw.kerf.source)
    for size in SHEET_SIZES.values():
        inch, mm = (
            " x ".join(pair)
            for pair in zip(_both(size.length), _both(size.width), strict=True)
        )
        yield _row(f"sheet, {size.name}", inch, mm, size.source)
    for category in PANEL_CATEGORIES.values():
        span = (category.minimum, category.maximum)
        inch, mm = (
            " to ".join(pair)
            for pair in zip(*(_both(size) for size in span), strict=True)
        )
        name = f"plywood of category {category.name}, thickness"
        yield _row(name, inch, mm, CATEGORY_SOURCE)
    for density in DENSITIES.values():
        weight = f"{_number(density.pounds_per_cubic_foot)} lb/ft3"
        yield _row(f"density, {density.material}", weight, "", density.source)
    for rough, surfaces in HARDWOOD_THICKNESS.items():
        for surface, thickness in surfaces.items():
            name = f"hardwood {rough}, {surface.value}"
            yield _row(name, *_both(thickness), "a thickness chart of the trade")
    for each in SPECIES.values():
        movement = f"{float(each.quartersawn)} quartersawn, {float(each.flatsawn)}"
        shrinkage = f"{float(each.radial)} % radial, {float(each.tangential)} %"
        name = f"{each.name}: shrinkage; change per percent of moisture"
        words = f"{shrinkage} tangential; {movement} flatsawn"
        yield _row(name, words, "", each.source)
    yield ""
    yield "Which figures the keys of `[milling]` start from:"
    yield ""
    yield "| key | inch | mm |"
    yield "| --- | --- | --- |"
    for field in fields(Allowances):
        inch, mm = _both(getattr(Allowances(), field.name))
        yield f"| `{field.name}` | {inch} | {mm} |"


def _row(*cells: str) -> str:
    return f"| {' | '.join(cells)} |"


def _both(size: Ticks) -> tuple[str, str]:
    """Return a length in inches and in millimetres, exact."""
    inch = write_exact(size, Unit.INCH).removesuffix('"')
    return inch, write_exact(size, Unit.MM).removesuffix(" mm")


def _number(value: Fraction) -> str:
    return str(value) if value.denominator < 10 else f"{float(value):g}"


if __name__ == "__main__":
    main()
