"""The list of blanks as a table for spreadsheets and for the saw's clipboard."""

from __future__ import annotations

import csv
import io
from typing import Final

from nesting.model.plan import Plan
from nesting.units import Unit, write_exact, write_length

HEADINGS: Final = (
    "part",
    "blank",
    "role",
    "qty",
    "length",
    "width",
    "thickness",
    "length_mm",
    "width_mm",
    "thickness_mm",
    "material",
    "section",
    "grain",
)


def write_blanks_csv(plan: Plan) -> str:
    """Return the blanks of a plan as CSV.

    Parameters
    ----------
    plan
        The plan; each of its blanks is a row.

    Returns
    -------
    str
        Headings and rows. ``length``, ``width`` and ``thickness`` are in the units of
        the job, inches as mixed fractions with ``+`` or ``-`` where they are rounded;
        the columns ending in ``_mm`` are exact.
    """
    display = plan.job.display
    names = {part.id: part.name for part in plan.parts}
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(HEADINGS)
    for blank in plan.blanks:
        sizes = (blank.length, blank.width, blank.thickness)
        writer.writerow(
            (
                " / ".join(names.get(part, part) for part in blank.parts),
                blank.id,
                blank.role,
                blank.qty,
                *(write_length(size, display) for size in sizes),
                *(write_exact(size, Unit.MM).removesuffix(" mm") for size in sizes),
                blank.material,
                blank.section,
                blank.grain,
            )
        )
    return stream.getvalue()
