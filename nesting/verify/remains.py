"""What remains of a layout: blanks of the right size, lie and material."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nesting.model.plan import Layout, Offer, Piece, Plan, PlanBlank, Violation
from nesting.model.terms import Fate, Grain
from nesting.verify.rules import Rule, broken


def check_remains(plan: Plan) -> Iterator[Violation]:
    """Hold every piece that is a part against its blank and its stock.

    Rule ``blank``: a part names a blank of the plan; a piece that is none, offcut,
    scrap or cut again, names no blank and is not turned.
    """
    blanks: Mapping[str, PlanBlank] = {b.id: b for b in reversed(plan.blanks)}
    offers: Mapping[str, Offer] = {o.id: o for o in reversed(plan.offers)}
    for layout in plan.layouts:
        offer = offers.get(layout.stock.name)
        for piece in layout.pieces:
            where = f"layout {layout.id!r}, piece {piece.id!r}"
            if piece.fate != Fate.PART.value:
                if piece.blank is not None or piece.turned:
                    what = f"its fate is '{piece.fate}', yet it is laid as a blank"
                    yield broken(Rule.BLANK, where, what)
                continue
            blank = None if piece.blank is None else blanks.get(piece.blank)
            if blank is None:
                what = f"it is a part, and there is no blank {piece.blank!r}"
                yield broken(Rule.BLANK, where, what)
                continue
            yield from _size(piece, blank, where)
            yield from _sawn(piece, blank, layout, where)
            yield from _lie(piece, blank, layout, where)
            if offer is not None and layout.form != "glueup":
                yield from _edges(piece, offer, layout, where)
                if blank.square_edges:
                    yield from _squareness(piece, offer, layout, where)


def _size(piece: Piece, blank: PlanBlank, where: str) -> Iterator[Violation]:
    """Rule ``size``: just that of the blank, whose length lies along y if turned.

    A blank that is a minimum may be left wider or thicker; never longer or smaller.
    """
    length, width = piece.length, piece.width
    if piece.turned:
        length, width = width, length
    for name, held, wanted, free in (
        ("length", length, blank.length, False),
        ("width", width, blank.width, blank.minimum),
        ("thickness", piece.thickness, blank.thickness, blank.minimum),
    ):
        if held < wanted or (held > wanted and not free):
            what = f"its {name} is {held}, that of blank {blank.id!r} is {wanted}"
            yield broken(Rule.SIZE, where, what)


def _sawn(
    piece: Piece, blank: PlanBlank, layout: Layout, where: str
) -> Iterator[Violation]:
    """Rule ``size``: what is sawn thinner than its stock is a slice that does."""
    least = min(blank.slice or 0, layout.stock.thickness)
    if piece.thickness < least:
        what = f"it is sawn to {piece.thickness}; a slice for it has {least}"
        yield broken(Rule.SIZE, where, what)


def _lie(
    piece: Piece, blank: PlanBlank, layout: Layout, where: str
) -> Iterator[Violation]:
    """Look at the wood that a blank is of and how it lies in it.

    Rule ``grain``: a blank whose grain is its length has its length along the grain of
    the stock. Rule ``material``: the blank's material and section are the layout's.
    """
    along = "width" if piece.turned else "length"
    if blank.grain == Grain.LENGTH.value and layout.stock.grain != along:
        what = f"its length lies along the stock's {along}, across the grain"
        yield broken(Rule.GRAIN, where, what)
    if blank.material != layout.material or not blank.comes_from(layout.section):
        wanted = " or ".join(blank.sections) or blank.section
        what = f"blank {blank.id!r} is of {blank.material} {wanted}, the layout is not"
        yield broken(Rule.MATERIAL, where, what)


def _edges(
    piece: Piece, offer: Offer, layout: Layout, where: str
) -> Iterator[Violation]:
    """Rule ``edge``: a blank lies within the stock less the trims of its offer."""
    stock, trim = layout.stock, offer.trim
    for name, spare in (
        ("low x", piece.x - trim.low_x),
        ("high x", stock.length - trim.high_x - piece.x - piece.length),
        ("low y", piece.y - trim.low_y),
        ("high y", stock.width - trim.high_y - piece.y - piece.width),
    ):
        if spare < 0:
            what = f"it reaches {-spare} ticks into the trim on the {name} side"
            yield broken(Rule.EDGE, where, what)


def _squareness(
    piece: Piece, offer: Offer, layout: Layout, where: str
) -> Iterator[Violation]:
    """Rule ``edge``: a blank with square edges keeps no rounded edge of its offer."""
    high = layout.stock.width - offer.eased
    for name, spare in (
        ("low", piece.y - offer.eased),
        ("high", high - piece.y - piece.width),
    ):
        if spare < 0:
            what = f"it keeps {-spare} ticks of the rounded edge on the {name} y side"
            yield broken(Rule.EDGE, where, what)
