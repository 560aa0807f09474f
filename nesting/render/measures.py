"""What to measure before the first cut: boxes to write in, with the planned sizes."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from nesting.model.stock import lost_to_crook
from nesting.render.flow import Column, Row
from nesting.units import Unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nesting.model.plan import Layout, Plan
    from nesting.render.flow import Flow
    from nesting.render.wording import Wording
    from nesting.units import Ticks

_MANY = 4
"""More pieces alike than this share one row of boxes."""
_BOX_HEIGHT = 8.0

# PS 1-19, Structural Plywood: length and width +0, -1/16 in; square within 1/64 in per
# nominal foot of the longest edge, which on a 4 x 8 panel is 1/8 in between diagonals.
_SHEET_NOTE = {
    Unit.INCH: "Plywood made to PS 1 may be 1/16 in short in length and width, never "
    "over, and out of square by 1/64 in for each foot of its longest side: the two "
    "diagonals of a 4 × 8 ft sheet may differ by 1/8 in. Other panels have other "
    "limits.",
    Unit.MM: "Plywood made to PS 1 may be 1.6 mm short in length and width, never "
    "over, and out of square by 1.3 mm in a metre of its longest side: the two "
    "diagonals of a 4 × 8 ft sheet may differ by 3.2 mm. Other panels have other "
    "limits.",
}
_LUMBER_NOTE = (
    "Lumber: measure thickness and width where they are least. Crook is the gap "
    "between the edge and a straight line from end to end; a piece half as long has "
    "about a quarter of it."
)
_AFTER = (
    "Measure before the first cut. If a size is less than planned, or a thickness "
    "differs from what the joints were drawn for, put it into the job and plan again. "
    "Each box holds the planned size; write the measured one below it."
)


def write_measures(flow: Flow, plan: Plan, wording: Wording) -> None:
    """Write the section that says what to measure on each stock that is used."""
    if not plan.layouts:
        return
    flow.heading("Measure before cutting", room=40)
    flow.paragraph(_AFTER)
    sheets = [layout for layout in plan.layouts if layout.form == "sheet"]
    if sheets:
        flow.paragraph(_SHEET_NOTE[wording.display.unit])
        flow.table(
            [
                Column(title="sheet", share=46),
                Column(title="thickness", share=26, boxed=True),
                Column(title="width", share=28, boxed=True),
                Column(title="length", share=28, boxed=True),
                Column(title="diagonal 1", share=29, boxed=True),
                Column(title="diagonal 2", share=29, boxed=True),
            ],
            [_sheet_row(copies, wording) for copies in _alike(sheets)],
            least_height=_BOX_HEIGHT,
        )
    lumber = [lay for lay in plan.layouts if lay.form in ("board", "stick")]
    if lumber:
        crooks = {offer.id: offer.crook for offer in plan.offers}
        flow.need(4 * _BOX_HEIGHT)
        flow.paragraph(_LUMBER_NOTE)
        flow.table(
            [
                Column(title="board or stick", share=62),
                Column(title="thickness", share=31, boxed=True),
                Column(title="width", share=31, boxed=True),
                Column(title="length", share=31, boxed=True),
                Column(title="crook", share=31, boxed=True),
            ],
            [_lumber_row(copies, crooks, wording) for copies in _alike(lumber)],
            least_height=_BOX_HEIGHT,
        )


def _alike(layouts: list[Layout]) -> list[list[Layout]]:
    """Return layouts on equal stock together where they are many, else one by one."""
    kinds: dict[object, list[Layout]] = {}
    for layout in layouts:
        kinds.setdefault((layout.material, layout.section, layout.stock), []).append(
            layout
        )
    rows: list[list[Layout]] = []
    for copies in kinds.values():
        rows.extend([copies] if len(copies) > _MANY else [[copy] for copy in copies])
    return rows


def _ids(copies: list[Layout]) -> str:
    if len(copies) == 1:
        return copies[0].id
    return f"the least of {len(copies)}, {copies[0].id} to {copies[-1].id}:"


def _sheet_row(copies: list[Layout], wording: Wording) -> Row:
    stock = copies[0].stock
    diagonal = math.isqrt(stock.length**2 + stock.width**2)
    whole = wording.size(diagonal).rstrip("+-")
    return Row(
        cells=(
            f"{_ids(copies)} {copies[0].material}",
            wording.size(stock.thickness),
            wording.size(stock.width),
            wording.size(stock.length),
            whole,
            "the same",
        ),
        about=f"measure:{copies[0].id}",
    )


def _lumber_row(
    copies: list[Layout], crooks: Mapping[str, Ticks], wording: Wording
) -> Row:
    layout = copies[0]
    stock = layout.stock
    crook = lost_to_crook(crooks.get(stock.name, 0), stock.length)
    return Row(
        cells=(
            f"{_ids(copies)} {layout.material} {layout.section}".rstrip(),
            wording.size(stock.thickness),
            wording.size(stock.width),
            wording.size(stock.length),
            wording.size(crook) if crook else "0",
        ),
        about=f"measure:{layout.id}",
    )
