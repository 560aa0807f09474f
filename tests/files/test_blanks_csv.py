"""The list of blanks as CSV: mixed fractions for the eye, exact millimetres beside."""

import csv
import io
from dataclasses import replace

from nesting.files import write_blanks_csv
from nesting.model.plan import PlanBlank, PlanJob, PlanPart


def rows(plan, unit):
    """Return the rows of a plan with two blanks, shown in that unit."""
    part = {"qty": 2, "length": 1, "width": 1, "thickness": 1, "material": "ply"}
    blank = {"qty": 2, "length": 955040, "width": 28800, "material": "ply"}
    plan = replace(
        plan,
        job=PlanJob(name="Box", unit=unit, fraction=16),
        parts=(
            PlanPart(id="p1", name="side, left", grain="length", **part),
            PlanPart(id="p2", name='end "B"', grain="length", **part),
        ),
        blanks=(
            PlanBlank(
                id="b1", parts=("p1",), role="", grain="any", thickness=20320, **blank
            ),
            PlanBlank(
                id="b2",
                parts=("p1", "p2"),
                role="ply 1 of 2",
                grain="length",
                thickness=19101,
                **blank,
            ),
        ),
    )
    text = write_blanks_csv(plan)
    assert "\r" not in text
    return list(csv.DictReader(io.StringIO(text)))


def test_inches_are_mixed_fractions(plan):
    """Sizes are written as on a rule, marked where they are rounded, and exactly."""
    first, second = rows(plan, "inch")
    assert first["part"] == "side, left"
    assert (first["length"], first["width"]) == ("23 1/2", "11/16+")
    # 23.5 in x 25.4 = 596.9 mm exactly; 28800/1600 and 20320/1600 mm
    assert (first["length_mm"], first["width_mm"]) == ("596.9", "18")
    assert (first["thickness"], first["thickness_mm"]) == ("1/2", "12.7")
    assert (first["qty"], first["grain"]) == ("2", "any")
    assert (second["part"], second["role"]) == ('side, left / end "B"', "ply 1 of 2")
    assert second["thickness_mm"] == "11.938125"


def test_millimetres(plan):
    """In a metric job both columns are millimetres."""
    first, _ = rows(plan, "mm")
    assert (first["length"], first["length_mm"]) == ("596.9", "596.9")
