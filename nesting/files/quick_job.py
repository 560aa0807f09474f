"""A job from a bare part list, its materials given as options."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from nesting.files.faults import FaultList, Spot, shown
from nesting.files.job_file import FRACTIONS, UNITS, digest, usual_offcuts
from nesting.files.options import SHEET_FORM, STICK_FORM, OptionReader
from nesting.files.part_table import read_rows
from nesting.files.parts import PartReader
from nesting.files.shop import check_kerf, usual_shop
from nesting.files.text import read_text
from nesting.model.job import Job
from nesting.model.mill import Allowances
from nesting.units import Display

MOST_OPTIONS: Final = 200


def quick_job(
    parts: Path | str,
    *,
    sheets: Sequence[str] = (),
    sticks: Sequence[str] = (),
    kerf: str | None = None,
    trim: str | None = None,
    units: str | None = None,
    fraction: int = 16,
    currency: str = "$",
    name: str | None = None,
) -> Job:
    """Return the job of a bare part list, its materials given as texts.

    Parameters
    ----------
    parts
        The CSV file. With a single material its column may be left out.
    sheets
        Sheet goods and their sizes, such as ``birch ply = 96 x 48 x 23/32 @ 62.50``.
    sticks
        Lumber and its lengths, such as ``pine 2x4 = 96 @ 4.85, 120 @ 6.40``.
    kerf
        The kerf of every saw; None for the usual ones.
    trim
        What is trimmed from each edge of a sheet and each end of a stick, kerf
        included; None for the usual trims, ``0`` for none.
    units
        ``inch`` or ``mm``: the unit of numbers without one, and of the plan; None
        for inches.
    fraction
        The finest fraction of an inch shown: 16, 32 or 64.
    currency
        The sign or word of the currency.
    name
        The name of the job; None for the file's.

    Raises
    ------
    InputError
        With the faults of the options and of the part list, all at once.
    """
    faults = FaultList()
    path = Path(parts)
    units = "inch" if units is None else units
    if units not in UNITS:
        faults.add(Spot(field="units"), f"{shown(units)} is no unit", "use inch or mm")
    if fraction not in FRACTIONS:
        what = f"sizes are not shown in {fraction} parts of an inch"
        faults.add(Spot(field="fraction"), what, "use 16, 32 or 64")
    faults.raise_any()
    display = Display(unit=UNITS[units], denominator=fraction)
    options = OptionReader(display, trim, faults)
    for number, text in enumerate(sheets[:MOST_OPTIONS], start=1):
        options.read(text, Spot(field=f"sheet {number}"), options.sheet)
    for number, text in enumerate(sticks[:MOST_OPTIONS], start=1):
        options.read(text, Spot(field=f"stick {number}"), options.stick)
    if max(len(sheets), len(sticks)) > MOST_OPTIONS:
        what = f"there are more than {MOST_OPTIONS} sheets or sticks"
        faults.add(Spot(), what, "make a job folder of it")
    if not sheets and not sticks:
        what = "the part list needs something to be cut from"
        faults.add(Spot(path=str(path)), what, f"{SHEET_FORM}, or {STICK_FORM[9:]}")
    width = None
    if kerf is not None:
        width = options.sizes.read(kerf, Spot(field="kerf"), faults, zero=True)
        check_kerf(width, Spot(field="kerf"), faults)
    materials = options.materials()
    file = read_text(path, faults)
    reader = PartReader(materials, options.sizes, faults)
    rows = [] if file is None else read_rows(file, reader.needed, faults)
    read = [reader.read(row) for row in rows]
    reader.check_runs()
    if not read and not len(faults):
        what = "the part list has no parts"
        faults.add(Spot(path=str(path)), what, "write one in each row")
    faults.raise_any()
    words = [*sheets, "", *sticks, "", str(kerf), str(trim), units, str(fraction)]
    return Job(
        name=" ".join((path.stem if name is None else name).split()) or "cut list",
        display=display,
        currency=currency,
        shop=usual_shop(width),
        materials=tuple(m for m in materials.values() if m is not None),
        parts=tuple(part for part in read if part is not None),
        offcuts=usual_offcuts(),
        allowances=Allowances.usual(display.unit),
        digest=digest(b"" if file is None else file.raw, *map(str.encode, words)),
    )
