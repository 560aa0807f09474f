"""The cut order: a row for each cut, under a heading for each setting."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nesting.render.flow import TICK_BOX, Column, Flow, Row
from nesting.render.page import upright

if TYPE_CHECKING:
    from nesting.model.plan import Cut, Layout, Plan
    from nesting.render.page import Paper
    from nesting.render.scene import Recorder
    from nesting.render.wording import Wording

_COLUMNS = (
    Column(title="step", share=11, align="right", bold=True),
    Column(title="", share=7, align="centre"),
    Column(title="layout", share=15),
    Column(title="piece", share=43),
    Column(title="saw, cut", share=23),
    Column(title="setting", share=42),
    Column(title="makes", share=47),
    Column(title="mind", share=13),
)


def table_pages(plan: Plan, wording: Wording, paper: Paper) -> list[Recorder]:
    """Return the cut order as a table over as many pages as it takes."""
    if not any(layout.cuts for layout in plan.layouts):
        return []
    flow = Flow(
        shape=upright(paper),
        title="Cut order",
        again="Cut order, continued",
        below="Tick each cut when it is made. Sides are named as in the drawings, with "
        "the reference corner at the lower left; the step in brackets made the piece.",
    )
    for caution in plan.cautions:
        if caution.id in wording.marks:
            flow.paragraph(
                wording.caution(caution),
                mark=wording.marks[caution.id],
                about="caution",
            )
    flow.skip(1)
    flow.table(_COLUMNS, cut_rows(plan, wording), size=8.0, least_height=5.2)
    return flow.pages


def cut_rows(plan: Plan, wording: Wording) -> list[Row]:
    """Return the rows of the cut order with their headings."""
    cuts = [(layout, cut) for layout in plan.layouts for cut in layout.cuts]
    cuts.sort(key=lambda pair: pair[1].step)
    rows: list[Row] = []
    seen: set[object] = set()
    stands: dict[str, object] = {}
    first = 0
    while first < len(cuts):
        last = first
        key = _key(cuts[first][1])
        while last < len(cuts) and _key(cuts[last][1]) == key:
            last += 1
        cut = cuts[first][1]
        word = ""
        if key in seen:
            word = " still" if stands.get(cut.saw) == key else " again"
        rows.append(_heading(cut, last - first, wording, word))
        if cut.setting in wording.setting_numbers:
            stands[cut.saw] = key
        rows.extend(_row(layout, cut, wording) for layout, cut in cuts[first:last])
        seen.add(key)
        first = last
    return rows


def _key(cut: Cut) -> object:
    """Return what neighbouring cuts share that stand under one heading.

    Cuts to a line set nothing, so those of one saw stand together.
    """
    if cut.guide == "line" or cut.measure is None:
        return "line", cut.saw
    return cut.setting or (cut.saw, cut.guide, cut.plane, cut.measure, cut.from_)


def _heading(cut: Cut, count: int, wording: Wording, word: str) -> Row:
    cuts = f"{count} cut" + ("s" if count > 1 else "")
    words = f"{wording.setting_heading(cut)}: {cuts}"
    number = wording.setting_numbers.get(cut.setting)
    if number:
        words = f"Setting {number}{word}: {words}"
    return Row(heading=words[0].upper() + words[1:], about="setting")


def _row(layout: Layout, cut: Cut, wording: Wording) -> Row:
    makes = "; ".join(wording.makes(layout, cut))
    return Row(
        cells=(
            str(cut.step),
            TICK_BOX,
            layout.id,
            wording.held(layout, cut.piece),
            f"{cut.saw}, {wording.kind(cut)}",
            wording.setting(cut),
            makes,
            wording.cut_marks(cut),
        ),
        about=f"step:{cut.step}",
    )
