"""The route cards: how each part comes from its rough blanks, day by day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nesting.render.flow import TICK_BOX, Column, Flow, Row
from nesting.render.page import upright

if TYPE_CHECKING:
    from collections.abc import Iterator

    from nesting.model.plan import Operation, Plan, PlanRoute
    from nesting.render.page import Paper
    from nesting.render.scene import Recorder
    from nesting.render.wording import Wording

_COLUMNS = (
    Column(title="", share=7, align="centre"),
    Column(title="day", share=13, align="right"),
    Column(title="do", share=26, bold=True),
    Column(title="qty", share=12, align="right"),
    Column(title="piece", share=48),
    Column(title="size afterwards", share=58),
    Column(title="on", share=25),
    Column(title="set to", share=20, align="right"),
    Column(title="note", share=60),
)
_PLANER_COLUMNS = (
    Column(title="", share=7, align="centre"),
    Column(title="day", share=11, align="right"),
    Column(title="set to", share=20, align="right", bold=True),
    Column(title="pieces", share=150),
)
_WORDS = {"joints": "cut joints", "fit": "fit to the work"}


def route_pages(plan: Plan, wording: Wording, paper: Paper) -> list[Recorder]:
    """Return the route cards, as many pages as they take; none without routes."""
    if not plan.routes:
        return []
    flow = Flow(
        shape=upright(paper),
        title="From rough to finished",
        again="From rough to finished, continued",
        below="After the cuts of the layouts. Sizes are those of one piece after the "
        "operation; qty counts all copies. A day is the earliest there can be: glue "
        "dries and resawn wood rests, flat or stickered, until the next.",
    )
    for words in _days(plan):
        flow.paragraph(words, mark="–", about="day")
    thicknesses = list(_planed(plan, wording))
    if thicknesses:
        flow.heading("Through the planer together")
        flow.table(_PLANER_COLUMNS, thicknesses, size=8.0, least_height=5.2)
    flow.heading("Route of each part")
    flow.table(_COLUMNS, list(_rows(plan, wording)), size=8.0, least_height=5.2)
    spare = list(_set_up_pieces(plan, wording))
    if spare:
        flow.heading("Set-up pieces, out of scrap")
        for words in spare:
            flow.paragraph(words, mark=TICK_BOX, about="set-up")
    return flow.pages


def _days(plan: Plan) -> Iterator[str]:
    """Yield what each day is for."""
    days: dict[int, list[str]] = {}
    for route in plan.routes:
        for done in route.operations:
            words = days.setdefault(done.day, [])
            name = "cut joints" if done.what == "joints" else done.what
            if name not in words:
                words.append(name)
    order = ("glue", "cut", "joint", "plane", "rip", "crosscut", "cut joints", "fit")
    for day, words in sorted(days.items()):
        glued = [
            done.of
            for route in plan.routes
            for done in route.operations
            if done.day == day and done.what == "glue"
        ]
        said = ", ".join(word for word in order if word in words and word != "glue")
        line = f"Day {day}: {said}" if said else f"Day {day}:"
        if glued:
            names = "; ".join(dict.fromkeys(glued))
            line += f"; glue up early, others wait for it: {names}"
        yield line + "."


def _planed(plan: Plan, wording: Wording) -> Iterator[Row]:
    """Yield a row for every thickness of every day."""
    settings: dict[tuple[int, int], list[str]] = {}
    for route in plan.routes:
        for done in route.operations:
            if done.what == "plane" and done.setting is not None:
                key = (done.day, -done.setting)
                count = done.pieces * route.qty
                settings.setdefault(key, []).append(f"{count} × {done.of}")
    for (day, setting), pieces in sorted(settings.items()):
        cells = (TICK_BOX, str(day), wording.size(-setting), ", ".join(pieces))
        yield Row(cells=cells, about="planer")


def _rows(plan: Plan, wording: Wording) -> Iterator[Row]:
    for route in plan.routes:
        yield Row(heading=_title(plan, route), about=f"route:{route.need}")
        for done in route.operations:
            yield _row(done, route, wording)


def _title(plan: Plan, route: PlanRoute) -> str:
    need = next((n for n in plan.needs if n.id == route.need), None)
    copies = route.qty * (1 if need is None else need.copies)
    _, _, how = route.build.rpartition(": ")
    why = f" ({route.why})" if route.why else ""
    return f"{copies} × {route.part}: {how}{why}"


def _row(done: Operation, route: PlanRoute, wording: Wording) -> Row:
    glued = " + ".join(f"{take.count} × {take.blank}" for take in done.takes)
    note = f"of {glued}; {done.note}" if glued else done.note
    return Row(
        cells=(
            TICK_BOX,
            str(done.day),
            _WORDS.get(done.what, done.what),
            str(done.pieces * route.qty),
            done.of,
            wording.size(done.length, done.width, done.thickness),
            done.machine or "by hand",
            "" if done.setting is None else wording.size(done.setting),
            note,
        ),
        about=f"operation:{done.what}",
    )


def _set_up_pieces(plan: Plan, wording: Wording) -> Iterator[str]:
    """Yield a spare piece for each thickness that is joined."""
    joined: dict[int, list[str]] = {}
    for route in plan.routes:
        for done in route.operations:
            if done.what == "joints":
                joined.setdefault(done.thickness, []).append(route.part)
    for thickness, parts in sorted(joined.items(), reverse=True):
        names = ", ".join(dict.fromkeys(parts))
        yield (
            f"one {wording.size(thickness)} thick, milled with the parts, to set up "
            f"the joints of {names}"
        )
