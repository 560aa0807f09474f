"""The route cards as a table for spreadsheets."""

from __future__ import annotations

import csv
import io
from typing import Final

from nesting.model.plan import Plan
from nesting.units import write_length

HEADINGS: Final = (
    "part",
    "build",
    "day",
    "do",
    "piece",
    "qty",
    "length",
    "width",
    "thickness",
    "machine",
    "setting",
    "glued_from",
    "note",
)


def write_routes_csv(plan: Plan) -> str:
    """Return the operations of a plan's routes as CSV, in the units of the job."""
    display = plan.job.display
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(HEADINGS)
    for route in plan.routes:
        for done in route.operations:
            sizes = (done.length, done.width, done.thickness)
            setting = done.setting
            writer.writerow(
                (
                    route.part,
                    route.build,
                    done.day,
                    done.what,
                    done.of,
                    done.pieces * route.qty,
                    *(write_length(size, display) for size in sizes),
                    done.machine,
                    "" if setting is None else write_length(setting, display),
                    " + ".join(f"{take.count} x {take.blank}" for take in done.takes),
                    done.note,
                )
            )
    return stream.getvalue()
