"""The first pages: what to buy, what it costs, what is left, what to mind."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nesting.model.quantities import write_duration
from nesting.render.flow import Column, Flow, Row
from nesting.render.fonts import TIE
from nesting.render.measures import write_measures
from nesting.render.nearness import say_nearness
from nesting.render.page import upright
from nesting.render.scene import Box, Hatch, Pen
from nesting.render.style import STYLE
from nesting.render.titles import tagged

if TYPE_CHECKING:
    from nesting.model.plan import Plan, Yield
    from nesting.render.page import Paper
    from nesting.render.scene import Recorder
    from nesting.render.wording import Wording

SAFETY = (
    "Follow your machine's manual, local rules and qualified instruction. "
    "Keep every guard in place."
)


def summary_pages(plan: Plan, wording: Wording, paper: Paper) -> list[Recorder]:
    """Return the summary of a plan, as many pages as it takes."""
    totals = plan.totals
    count = f"Parts: {totals.parts}. Pieces of stock: {totals.layouts}. Cuts: "
    count += f"{totals.cuts}. Settings of fence and stop: "
    if plan.order is None:
        count += f"{len(wording.setting_numbers)}."
    else:
        count += f"{plan.order.changes} ({plan.order.nearness})."
    if plan.minutes is not None:
        count += f" About {write_duration(plan.minutes)} at the saws: an estimate."
    flow = Flow(
        shape=upright(paper),
        title=plan.job.name,
        again=f"{plan.job.name}, continued",
        below=count,
    )
    _write_unplaced(flow, plan, wording)
    _write_warnings(flow, plan)
    _write_shopping(flow, plan, wording)
    _write_owned(flow, plan, wording)
    _write_ways(flow, plan, wording)
    _write_yields(flow, plan)
    _write_bounds(flow, plan, wording)
    _write_safety(flow, plan, wording)
    _write_parts(flow, plan, wording)
    write_measures(flow, plan, wording)
    return flow.pages


def _write_unplaced(flow: Flow, plan: Plan, wording: Wording) -> None:
    if not plan.unplaced:
        return
    lines = []
    for missing in plan.unplaced:
        blank = wording.blanks.get(missing.blank)
        size = f" {wording.size(blank.length, blank.width)}" if blank else ""
        name = wording.blank(missing.blank)
        lines.append(f"{missing.qty} × {name}{size}: {missing.why}")
    flow.panel(lines, "Not in this plan: these pieces are not cut", about="unplaced")


def _write_warnings(flow: Flow, plan: Plan) -> None:
    if plan.warnings:
        flow.panel(list(plan.warnings), "Mind this", about="warning")


def _write_shopping(flow: Flow, plan: Plan, wording: Wording) -> None:
    flow.heading("To buy")
    sizes = {offer.id: offer for offer in plan.offers}
    rows = []
    for line in plan.purchases:
        offer = sizes.get(line.stock)
        size = ""
        if offer is not None:
            lumber = bool(offer.section)
            size = wording.size(
                *(
                    (offer.length,)
                    if lumber
                    else (offer.length, offer.width, offer.thickness)
                )
            )
            size = f"{offer.section} × {size}" if lumber else size
        rows.append(
            Row(
                cells=(
                    "\N{BALLOT BOX}",
                    line.material,
                    line.stock,
                    size,
                    str(line.qty),
                    wording.money(line.cost_cents),
                ),
                about="purchase",
            )
        )
    for item in plan.hardware:
        cells = ("\N{BALLOT BOX}", item.name, item.note, "", str(item.qty))
        rows.append(
            Row(cells=(*cells, wording.money(item.cost_cents)), about="hardware")
        )
    if not rows:
        flow.paragraph("Nothing: all of it is cut from what you own.")
        return
    flow.table(
        [
            Column(title="", share=8, align="centre"),
            Column(title="material", share=48),
            Column(title="stock", share=50),
            Column(title="size", share=42),
            Column(title="qty", share=20, align="right"),
            Column(title="cost", share=25, align="right"),
        ],
        rows,
        least_height=STYLE.tick_box + 1,
    )
    total = f"Total {wording.money(plan.totals.cost_cents)}"
    if plan.totals.unpriced:
        lines = "line has" if plan.totals.unpriced == 1 else "lines have"
        total += f", and {plan.totals.unpriced} {lines} no price (–)"
    flow.paragraph(total + ".", bold=True, about="total")


def _write_ways(flow: Flow, plan: Plan, wording: Wording) -> None:
    """Set the ways to cut the job side by side."""
    if not plan.ways:
        return
    flow.heading("Ways to cut it")
    rows = []
    for way in plan.ways:
        largest = wording.size(way.largest_length, way.largest_width)
        cells = (
            f"{way.name} (this plan)" if way.taken else way.name,
            wording.money(way.cost_cents),
            str(way.layouts),
            str(way.cuts),
            str(way.changes),
            largest if way.largest_length else "–",
            way.why,
        )
        rows.append(Row(cells=cells, about="way"))
    flow.table(
        [
            Column(title="", share=36),
            Column(title="cost", share=24, align="right"),
            Column(title="stock", share=14, align="right"),
            Column(title="cuts", share=14, align="right"),
            Column(title="settings", share=21, align="right"),
            Column(title="largest offcut", share=34),
            Column(title="why", share=53),
        ],
        rows,
    )


def _write_owned(flow: Flow, plan: Plan, wording: Wording) -> None:
    """List the stock that is there already."""
    kinds: dict[object, list[str]] = {}
    words: dict[object, tuple[str, str, str]] = {}
    for layout in plan.layouts:
        stock = layout.stock
        if stock.origin not in ("rack", "bench"):
            continue
        key = (layout.material, layout.section, stock)
        kinds.setdefault(key, []).append(layout.id)
        place = "rack" if stock.origin == "rack" else "bench"
        words[key] = (
            place,
            tagged(stock.name, stock.tag),
            wording.stock(layout),
        )
    if not kinds:
        return
    flow.heading("From what you own")
    flow.table(
        [
            Column(title="where", share=20),
            Column(title="stock", share=50),
            Column(title="material and size", share=70),
            Column(title="qty", share=20, align="right"),
            Column(title="layouts", share=33),
        ],
        [
            Row(cells=(*words[key], str(len(ids)), ", ".join(ids)), about="owned")
            for key, ids in kinds.items()
        ],
    )


def _write_yields(flow: Flow, plan: Plan) -> None:
    """Show what becomes of the stock, in percent and as bars."""
    yields = [line for line in plan.totals.yields if line.stock > 0]
    if not yields:
        return
    flow.heading("What becomes of the stock, in percent of its face")
    flow.table(
        [
            Column(title="material", share=75),
            Column(title="parts", share=22, align="right"),
            Column(title="to keep", share=22, align="right"),
            Column(title="scrap", share=22, align="right"),
            Column(title="kerf", share=22, align="right"),
        ],
        [
            Row(
                cells=(
                    f"{line.material} {line.section}".rstrip(),
                    *(percent(value, line.stock) for value in _shares(line)),
                ),
                about="yield",
            )
            for line in yields
        ],
    )
    for line in yields:
        _draw_yield(flow, line)
    words = "Bars: parts white, to keep hatched, scrap crossed, kerf black."
    if any(cut.plane == "resaw" for layout in plan.layouts for cut in layout.cuts):
        words += " Slices count with their share of the thickness."
    flow.paragraph(words, size=STYLE.note_text)
    flow.skip(1)


def _shares(line: Yield) -> tuple[int, int, int, int]:
    return line.parts, line.offcuts, line.scrap, line.kerf


def _draw_yield(flow: Flow, line: Yield) -> None:
    """Draw a bar as long as the stock, divided into what becomes of it."""
    strip = flow.take(6)
    bar = Box(strip.x + 40, strip.y + 1, strip.width - 40, 4)
    name = f"{line.material} {line.section}".rstrip()
    words = name if len(name) < 24 else name[:22] + "…"
    flow.page.text(words, (strip.x, bar.centre[1]), STYLE.note_text, level="middle")
    x = bar.x
    fills = (None, STYLE.offcut_hatch, STYLE.scrap_hatch, None)
    for count, (value, hatch) in enumerate(zip(_shares(line), fills, strict=True)):
        part = Box(x, bar.y, value / line.stock * bar.width, bar.height)
        if hatch is not None:
            pen = Pen(STYLE.hatch_line)
            flow.page.items.append(
                Hatch(box=part, style=hatch, pen=pen, about="yield bar")
            )
        flow.page.rect(
            part, STYLE.thin_line, 0.0 if count == 3 else None, about="yield bar"
        )
        x += part.width


def percent(value: int, whole: int) -> str:
    """Return a share of a whole in percent, to a tenth."""
    tenths = (2000 * value + whole) // (2 * whole)
    return f"{tenths // 10}.{tenths % 10}"


def _write_bounds(flow: Flow, plan: Plan, wording: Wording) -> None:
    if not plan.bounds:
        return
    flow.heading("How near the best this is", room=10)
    for bound in plan.bounds:
        flow.paragraph(say_nearness(bound, plan, wording), about="bound")


def _write_safety(flow: Flow, plan: Plan, wording: Wording) -> None:
    """Write the safety note and the cautions that belong to no single cut."""
    flow.heading("Safety", room=12)
    flow.paragraph(SAFETY, bold=True, about="safety")
    for caution in plan.cautions:
        # The general rule is the sentence above.
        if caution.id != "general" and caution.id not in wording.marks:
            flow.paragraph(wording.caution(caution), mark="–", about="caution")
    if wording.marks:
        flow.paragraph(
            "Letters in the last column of the cut order stand for cautions that "
            "belong to a cut; they are explained above the table.",
            mark="–",
        )


def _write_parts(flow: Flow, plan: Plan, wording: Wording) -> None:
    """List the finished parts and the blanks they are made from."""
    if not plan.parts:
        return
    flow.heading("Parts, and the blanks cut for them")
    rows = []
    runs_of: dict[str, list[str]] = {}
    for run in plan.runs:
        names = [part for b in plan.blanks if b.id in run.members for part in b.parts]
        for name in dict.fromkeys(names):
            runs_of.setdefault(name, []).append(run.id)
    for part in plan.parts:
        blanks = [blank for blank in plan.blanks if part.id in blank.parts]
        rough = "; ".join(
            f"{blank.qty}{TIE}×{TIE}"
            + wording.size(blank.length, blank.width, blank.thickness)
            + (f", {blank.role}" if blank.role else "")
            for blank in blanks
        )
        rows.append(
            Row(
                cells=(
                    str(part.qty),
                    part.name
                    + (f" ({part.note})" if part.note else "")
                    + "".join(f", run {run}" for run in runs_of.get(part.id, ())),
                    part.material,
                    wording.size(part.length, part.width, part.thickness),
                    rough,
                ),
                about=f"part:{part.id}",
            )
        )
    flow.table(
        [
            Column(title="qty", share=10, align="right"),
            Column(title="part", share=58),
            Column(title="material", share=24),
            Column(title="finished", share=45),
            Column(title="cut to", share=52),
        ],
        rows,
        size=8.0,
    )
