"""Glue-ups: stock that the shop makes of pieces it has cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from nesting.model.plan import Layout, Plan, Violation
from nesting.model.terms import Fate
from nesting.verify.replay import Trail
from nesting.verify.rules import Rule, broken


def check_glueups(plan: Plan, trails: tuple[Trail, ...]) -> Iterator[Violation]:
    """Find glue-ups that cannot be made as the plan has them (rule ``glueup``).

    The form ``glueup``, the origin ``shop`` and a list of what is glued go together,
    and such stock has no price. What is glued is a piece that remains as a part, goes
    into one glue-up once, and has been cut before the first cut of the glue-up. The
    glue-up has no more wood than its pieces: jointing and pressing may lose some.
    """
    places = {layout.id: at for at, layout in reversed([*enumerate(plan.layouts)])}
    glueups = [layout for layout in plan.layouts if layout.stock.from_]
    for layout in plan.layouts:
        yield from _marks(layout)
    for layout in glueups:
        yield from _wood(layout, plan, trails, places)
    used = Counter(source for layout in glueups for source in layout.stock.from_)
    for (layout_id, piece_id), count in used.items():
        if count > 1:
            what = f"piece {piece_id!r} is glued up {count} times"
            yield broken(Rule.GLUEUP, f"layout {layout_id!r}", what)
    yield from _times(glueups, trails, places)


def _marks(layout: Layout) -> Iterator[Violation]:
    where = f"layout {layout.id!r}"
    marks = (
        layout.form == "glueup",
        layout.stock.origin == "shop",
        bool(layout.stock.from_),
    )
    if any(marks) and not all(marks):
        what = "a glue-up, and that only, has origin 'shop' and names what it is of"
        yield broken(Rule.GLUEUP, where, what)
    if layout.form == "glueup" and layout.stock.price_cents:
        yield broken(Rule.GLUEUP, where, "a glue-up is not bought and has no price")


def _wood(
    layout: Layout,
    plan: Plan,
    trails: tuple[Trail, ...],
    places: Mapping[str, int],
) -> Iterator[Violation]:
    """Look at what one glue-up is glued from."""
    where = f"layout {layout.id!r}"
    wood = 0
    for layout_id, piece_id in layout.stock.from_:
        at = places.get(layout_id)
        box = None if at is None else trails[at].boxes.get(piece_id)
        if at is None or box is None:
            what = f"it is glued from {piece_id!r} of {layout_id!r}, which is not made"
            yield broken(Rule.GLUEUP, where, what)
            continue
        wood += box.length * box.width * box.thickness
        fates = {
            piece.fate for piece in plan.layouts[at].pieces if piece.id == piece_id
        }
        if fates != {Fate.PART.value}:
            what = f"it is glued from {piece_id!r} of {layout_id!r}, which is no part"
            yield broken(Rule.GLUEUP, where, what)
    stock = layout.stock
    if stock.length * stock.width * stock.thickness > wood:
        yield broken(Rule.GLUEUP, where, "it has more wood than what it is glued from")


def _times(
    glueups: list[Layout], trails: tuple[Trail, ...], places: Mapping[str, int]
) -> Iterator[Violation]:
    """Find glue-ups that are cut before they can be there.

    Those whose wood is known to be there are taken up one after the other; what cannot
    be taken up in the end waits for itself.
    """
    waiting = {places[layout.id]: layout for layout in glueups}
    whole: dict[int, int] = {}  # the step after which a glue-up can be there
    users: dict[int, list[int]] = {}
    open_sources = dict.fromkeys(waiting, 0)
    for at, layout in waiting.items():
        for layout_id, _ in layout.stock.from_:
            source = places.get(layout_id)
            if source in waiting:
                users.setdefault(source, []).append(at)
                open_sources[at] += 1
    ready = [at for at, count in open_sources.items() if count == 0]
    while ready:
        at = ready.pop()
        layout = waiting.pop(at)
        whole[at] = max(
            _there(layout_id, piece_id, trails, places, whole)
            for layout_id, piece_id in layout.stock.from_
        )
        first = min((cut.step for cut in layout.cuts), default=None)
        if first is not None and first <= whole[at]:
            what = f"step {first} cuts it, but step {whole[at]} makes what it is of"
            yield broken(Rule.GLUEUP, f"layout {layout.id!r}", what)
        for user in users.get(at, ()):
            open_sources[user] -= 1
            if open_sources[user] == 0:
                ready.append(user)
    for layout in waiting.values():
        what = "it is glued from what is cut from itself"
        yield broken(Rule.GLUEUP, f"layout {layout.id!r}", what)


def _there(
    layout_id: str,
    piece_id: str,
    trails: tuple[Trail, ...],
    places: Mapping[str, int],
    whole: Mapping[int, int],
) -> int:
    """Return the step after which a piece is there."""
    at = places.get(layout_id)
    if at is None:
        return 0
    return max(trails[at].born.get(piece_id, 0), whole.get(at, 0))
