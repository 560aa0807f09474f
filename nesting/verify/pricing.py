"""What a certificate is about: the blanks and offers in its scope, by the plan.

All sizes are inflated by the kerf that the certificate reckons with: two pieces of
lengths a and b with a kerf k between them fill a + b + k, so (a + k) + (b + k) fill
(a + b + k) + k, and cutting is packing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from nesting.model.plan import Offer, Plan, PlanBlank, PlanBound
from nesting.model.terms import Fate, Form, Grain, Objective, Origin, Plane
from nesting.units import Ticks

GUILLOTINE: Final = "guillotine"
KNAPSACK: Final = "knapsack"
VOLUME: Final = "volume"
RIP_CROSSCUT: Final = "rip-crosscut"
AXES: Final = {GUILLOTINE: 2, KNAPSACK: 1, VOLUME: 0, RIP_CROSSCUT: 2}
"""The ways to compute a value again, with the axes along which pieces are cut."""
_MOST_GRID: Final = 2**53
_NO_SHEETS: Final = "band saw"
"""The kind of saw that no bound on sheets reckons with (common practice)."""
_PLANES: Final = (Plane.CROSSCUT.value, Plane.RIP.value)


class Refused(Exception):  # noqa: N818  (a finding, told as a violation)
    """Why a certificate proves nothing. Never leaves this room."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What has to be cut, from what, at what cost."""

    blanks: Mapping[str, PlanBlank]
    """By id; what comes out of a glue-up is not among them."""
    offers: Mapping[str, Offer]
    """By id; those of which there are none are left out."""
    costs: Mapping[str, int]
    """Of one piece of each offer, in the measure of the bound."""
    kerfs: tuple[Ticks, Ticks]
    """The narrowest that a saw of the shop may cut with, along x and along y."""
    narrowest: Ticks
    """Of all saws of the shop, whatever they cut."""
    resaw: Ticks | None
    """The narrowest kerf of a saw that resaws; None where none does."""
    rough: Ticks | None
    """The longest piece of a board that is ripped; None for any."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pricing:
    """By which rules the values were computed."""

    kind: str
    kerfs: tuple[Ticks, ...]
    """By axis."""
    grid: tuple[tuple[int, int], ...]
    """By axis: (steps, whole), a size s counts floor(s * steps / whole) units."""
    trim: bool
    """Whether blanks keep out of the trims, as they must."""


def question_of(plan: Plan, bound: PlanBound) -> Question:
    """Gather what the plan says of the scope of a bound.

    Raises
    ------
    Refused
        Where ids are not single, or something to be bought has no price.
    """
    glued = {
        piece.blank
        for layout in plan.layouts
        if layout.form == "glueup"
        for piece in layout.pieces
        if piece.fate == Fate.PART.value
    }
    blanks = [b for b in plan.blanks if bound.is_about(b) and b.id not in glued]
    offers = [
        o for o in plan.offers if bound.covers(o.material, o.section) and o.limit != 0
    ]
    if len({b.id for b in blanks}) < len(blanks) or len({o.id for o in offers}) < len(
        offers
    ):
        raise Refused("is about blanks or offers of one id")
    if any(min(b.length, b.width, b.thickness, b.qty) < 1 for b in blanks):
        raise Refused("is about a blank that has no size or is not wanted")
    if any(min(_usable(o)) < 1 or (o.limit or 0) < 0 for o in offers):
        raise Refused("is about an offer that has no size")
    thinnest = min(
        [b.thickness for b in blanks] + [o.thickness for o in offers], default=0
    )
    sheets = all(offer.form == Form.SHEET.value for offer in offers)
    saws = [
        saw
        for saw in plan.shop.saws
        if saw.kerf is not None
        and (saw.tallest is None or saw.tallest >= thinnest)
        and not (sheets and saw.kind == _NO_SHEETS)
    ]
    kerfs = [
        max(0, min((s.kerf or 0 for s in saws if plane in s.cuts), default=0))
        for plane in _PLANES
    ]
    square = bool(blanks) and all(b.square_edges for b in blanks)
    return Question(
        blanks={b.id: b for b in blanks},
        offers={o.id: _without_edges(o) if square else o for o in offers},
        costs={o.id: _cost(o, bound.objective) for o in offers},
        kerfs=(kerfs[0], kerfs[1]),
        narrowest=max(0, min((s.kerf or 0 for s in saws), default=0)),
        resaw=min(
            (max(0, s.kerf or 0) for s in saws if Plane.RESAW.value in s.cuts),
            default=None,
        ),
        rough=plan.shop.longest_rough,
    )


def _without_edges(offer: Offer) -> Offer:
    """Return an offer of which no blank keeps a rounded edge."""
    return replace(offer, width=max(1, offer.width - 2 * max(0, offer.eased)), eased=0)


def _usable(offer: Offer) -> tuple[Ticks, Ticks, Ticks]:
    trim = offer.trim
    if min(trim.low_x, trim.high_x, trim.low_y, trim.high_y) < 0:
        return (0, 0, 0)
    return (
        offer.length - trim.low_x - trim.high_x,
        offer.width - trim.low_y - trim.high_y,
        offer.thickness,
    )


def _cost(offer: Offer, objective: str) -> int:
    """Return what one piece counts: nothing where it is owned and has no price."""
    price = offer.price_cents
    if price is None and offer.origin != Origin.STORE.value:
        price = 0
    if price == 0:
        return 0
    if objective == Objective.COUNT.value:
        return 1
    if objective == Objective.AREA.value:
        return offer.length * offer.width
    if objective != Objective.COST.value or price is None or price < 0:
        raise Refused("is about a cost, and an offer in scope has no price")
    return price


def read_pricing(raw: object, question: Question) -> Pricing:
    """Read the rules of pricing, and hold them against the plan.

    Raises
    ------
    Refused
        Where they are malformed, reckon with a wider kerf than a saw may cut with, or
        leave out ways in which blanks may lie.
    """
    if not isinstance(raw, dict) or not isinstance(raw.get("kind"), str):
        raise Refused("does not say how its values were priced")
    kind = raw["kind"]
    if kind not in AXES:
        raise Refused(f"prices by {kind!r}, which is not known")
    trim, turning = raw.get("trim"), raw.get("turning")
    if type(trim) is not bool or type(turning) is not bool:
        raise Refused("does not say whether it minds trims and turned blanks")
    if not turning and any(b.grain != Grain.LENGTH.value for b in _of(question)):
        raise Refused("does not turn blanks that may be turned")
    kerfs = _numbers(raw.get("kerf"), AXES[kind], "kerf")
    for kerf, widest in zip(kerfs, question.kerfs, strict=False):
        if not 0 <= kerf <= widest:
            raise Refused(f"reckons with a kerf of {kerf}; a saw may cut {widest}")
    grid = raw.get("grid")
    if not isinstance(grid, list | tuple) or len(grid) != AXES[kind]:
        raise Refused("has not one grid for each axis")
    scales = []
    for axis in grid:
        steps, whole = _numbers(axis, 2, "grid")
        if not (0 < steps < _MOST_GRID and 0 < whole < _MOST_GRID):
            raise Refused("has a grid that is none")
        scales.append((steps, whole))
    if kind == RIP_CROSSCUT:
        _lies_along(question)
    elif kind != VOLUME:
        _lies_flat(question, kind)
    return Pricing(kind=kind, kerfs=kerfs, grid=tuple(scales), trim=trim)


def _of(question: Question) -> tuple[PlanBlank, ...]:
    return tuple(question.blanks.values())


def _numbers(raw: object, count: int, name: str) -> tuple[int, ...]:
    if not isinstance(raw, list | tuple) or len(raw) != count:
        raise Refused(f"has a {name} of another form")
    for number in raw:
        if type(number) is not int:
            raise Refused(f"has a {name} that is no whole number")
    return tuple(raw)


def _lies_along(question: Question) -> None:
    """Refuse pricing by strips where a blank need not lie along its board."""
    if any(b.grain != Grain.LENGTH.value for b in _of(question)) or any(
        o.grain != Grain.LENGTH.value for o in question.offers.values()
    ):
        raise Refused("counts strips where a blank may lie across")


def layers_of(blank: PlanBlank, offer: Offer, question: Question) -> int:
    """Return how many slices for a blank an offer gives at most, or 1."""
    if blank.slice is None or question.resaw is None:
        return 1
    each = max(1, blank.slice) + question.resaw
    return max(1, (offer.thickness + question.resaw) // each)


def _lies_flat(question: Question, kind: str) -> None:
    """Refuse pricing in a plane, or along a line, where blanks could share more.

    Patterns count blanks side by side on a face, or in a row along the length. Where
    two might come out of one thickness, or of one width, they would count too few.
    """
    blanks, offers = _of(question), tuple(question.offers.values())
    thickest = max((o.thickness for o in offers), default=0)
    thinnest = min((b.thickness for b in blanks), default=1)
    if 2 * thinnest + question.narrowest <= thickest:
        raise Refused("counts on one layer where two blanks may lie above each other")
    if kind == GUILLOTINE:
        return
    widest = max((o.width for o in offers), default=0)
    narrowest = min((b.width for b in blanks), default=1)
    if 2 * narrowest + question.narrowest <= widest:
        raise Refused("counts in one row where two blanks may lie side by side")
    turned = any(b.grain != Grain.LENGTH.value for b in blanks) or any(
        o.grain != Grain.LENGTH.value for o in offers
    )
    if turned and min((b.length for b in blanks), default=1) <= widest:
        raise Refused("counts in one row where a blank may lie across")


def room(offer: Offer, pricing: Pricing) -> tuple[Ticks, Ticks, Ticks]:
    """Return length, width and thickness in which blanks of an offer may lie."""
    if pricing.trim:
        return _usable(offer)
    return offer.length, offer.width, offer.thickness


def lies_on(
    blank: PlanBlank, offer: Offer, pricing: Pricing
) -> tuple[tuple[Ticks, Ticks], ...]:
    """Return (x, y) of a blank in each way it may lie on an offer and fits it."""
    if blank.material != offer.material or not blank.comes_from(offer.section):
        return ()
    along, across = (blank.length, blank.width), (blank.width, blank.length)
    ways = [along, across]
    if blank.grain == Grain.LENGTH.value:
        ways = [along] if offer.grain == Grain.LENGTH.value else [across]
    long, wide, _ = room(offer, pricing)
    return tuple(dict.fromkeys((x, y) for x, y in ways if x <= long and y <= wide))
