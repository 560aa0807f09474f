"""What one piece of stock can hold of weighed blanks, computed anew.

Two ways. By measure: no blank weighs more for its size than the densest, so a piece
holds at most its size times that. Where that is not enough, by a dynamic program over
all patterns: guillotine patterns of a sheet (`rectangles`), boards that are crosscut,
ripped, resawn and crosscut again (`strips`), or fillings of a length with each blank as
often as it is wanted.

Sizes may be counted in whole units of a grid: floor is superadditive, so that pieces
that fit beside each other still do, and no value comes out too low.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Final

from nesting.model.plan import Offer
from nesting.verify.pricing import (
    GUILLOTINE,
    KNAPSACK,
    RIP_CROSSCUT,
    VOLUME,
    Pricing,
    Question,
    Refused,
    layers_of,
    lies_on,
    room,
)
from nesting.verify.rectangles import MOST_SUM, MOST_UNITS, Table, TooLarge
from nesting.verify.strips import Strip, best_boards

MOST_STEPS: Final = 1_000_000_000
"""Sums looked at for all values of a certificate."""

Row = Mapping[str, int]


def check_values(
    question: Question, pricing: Pricing, vectors: Sequence[Row], values: Sequence[Row]
) -> None:
    """Hold what is claimed that pieces of stock can hold against what they can.

    Parameters
    ----------
    question, pricing
        What is cut, and by which rules it is counted.
    vectors
        Weights by blank.
    values
        By offer, one row for each vector.

    Raises
    ------
    Refused
        Where a value is too small, or where it would take too long to tell.
    """
    found = [
        {
            name: _by_measure(question, pricing, row, offer)
            for name, offer in question.offers.items()
        }
        for row in vectors
    ]
    doubtful = [
        number
        for number, claimed in enumerate(values)
        if any(claimed[name] < most for name, most in found[number].items())
    ]
    if doubtful and pricing.kind != VOLUME:
        rows = [vectors[number] for number in doubtful]
        again = _WAYS[pricing.kind](question, pricing, rows)
        for number, held in zip(doubtful, again, strict=True):
            found[number] = {
                name: min(most, held[name]) for name, most in found[number].items()
            }
    for claimed, held in zip(values, found, strict=True):
        for name, most in held.items():
            if claimed[name] < most:
                what = f"claims that {name!r} holds {claimed[name]}; it may hold {most}"
                raise Refused(what)


# --- by measure ----------------------------------------------------------------------


def _by_measure(
    question: Question, pricing: Pricing, weights: Row, offer: Offer
) -> int:
    """Return what a piece would hold if it were full of the densest blank."""
    densest = Fraction(0)
    for name, weight in weights.items():
        blank = question.blanks[name]
        sizes = [
            _measure((x, y, blank.thickness), pricing)
            for x, y in lies_on(blank, offer, pricing)
        ]
        if weight and sizes:
            if pricing.kind == RIP_CROSSCUT:
                weight *= layers_of(blank, offer, question)
            densest = max(densest, Fraction(weight, min(sizes)))
    return int(densest * _measure(room(offer, pricing), pricing))


def _measure(sizes: tuple[int, int, int], pricing: Pricing) -> int:
    """Return the length, the area or the volume that counts, kerfs included."""
    x, y, z = sizes
    if pricing.kind == VOLUME:
        return x * y * z
    if pricing.kind == KNAPSACK:
        return x + pricing.kerfs[0]
    return (x + pricing.kerfs[0]) * (y + pricing.kerfs[1])


# --- along a line --------------------------------------------------------------------


def _fillings(
    question: Question, pricing: Pricing, rows: Sequence[Row]
) -> list[dict[str, int]]:
    """Return by vector and offer the most that a length holds."""
    groups = _alike(question.offers.values())
    top = max(_units(room(o, pricing)[0], 0, pricing) for o in question.offers.values())
    copies = sum(blank.qty.bit_length() for blank in question.blanks.values())
    if top > MOST_UNITS or top * copies * len(rows) * len(groups) > MOST_STEPS:
        raise Refused("has a grid too fine to go through: too large to re-check")
    return [
        {
            name: most
            for offers in groups
            for name, most in _fill(question, pricing, row, offers).items()
        }
        for row in rows
    ]


def _fill(
    question: Question, pricing: Pricing, weights: Row, offers: Sequence[Offer]
) -> dict[str, int]:
    import numpy as np

    tops = {o.id: _units(room(o, pricing)[0], 0, pricing) for o in offers}
    longest = max(tops.values())
    best = np.zeros(longest + 1, dtype=np.int64)
    total = 0
    for name, weight in weights.items():
        blank = question.blanks[name]
        if not weight or not any(lies_on(blank, offer, pricing) for offer in offers):
            continue
        size = _units(blank.length, 0, pricing)
        if not size:
            raise Refused(f"has a grid too coarse for blank {name!r}")
        left, copies = min(blank.qty, longest // size), 1
        total += weight * left
        if total >= MOST_SUM:
            raise Refused("has weights too large to add up")
        while left:
            taken = min(copies, left)
            more = best[: longest + 1 - taken * size] + taken * weight
            np.maximum(best[taken * size :], more, out=best[taken * size :])
            left -= taken
            copies *= 2
    return {name: int(best[top]) for name, top in tops.items()}


# --- on a face -----------------------------------------------------------------------


def _patterns(
    question: Question, pricing: Pricing, rows: Sequence[Row]
) -> list[dict[str, int]]:
    """Return by vector and offer the most that guillotine patterns hold."""
    found: list[dict[str, int]] = [{} for _ in rows]
    steps = 0
    for offers in _alike(question.offers.values()):
        sheets = {
            o.id: (
                _units(room(o, pricing)[0], 0, pricing),
                _units(room(o, pricing)[1], 1, pricing),
            )
            for o in offers
        }
        pieces = _pieces(question, pricing, rows, offers)
        try:
            table = Table(pieces, list(sheets.values()), len(rows))
        except TooLarge as refusal:
            raise Refused(str(refusal)) from refusal
        steps += table.steps
        if steps > MOST_STEPS:
            raise Refused("has a grid too fine to go through: too large to re-check")
        table.fill()
        for name, sheet in sheets.items():
            for held, most in zip(found, table.at(*sheet), strict=True):
                held[name] = most
    return found


# --- on boards -----------------------------------------------------------------------


def _strips(
    question: Question, pricing: Pricing, rows: Sequence[Row]
) -> list[dict[str, int]]:
    """Return by vector and offer the most that boards hold."""
    return [
        {
            name: most
            for offers in _alike(question.offers.values())
            for name, most in _on_boards(question, pricing, row, offers).items()
        }
        for row in rows
    ]


def _on_boards(
    question: Question, pricing: Pricing, weights: Row, offers: Sequence[Offer]
) -> dict[str, int]:
    rooms = {offer.id: room(offer, pricing) for offer in offers}
    boards = {
        name: (_units(long, 0, pricing), _units(wide, 1, pricing))
        for name, (long, wide, _) in rooms.items()
    }
    rough = max(long for long, _ in boards.values())
    if question.rough is not None:
        rough = min(rough, _units(question.rough, 0, pricing))
    strips = []
    for name, weight in weights.items():
        blank = question.blanks[name]
        able = [offer for offer in offers if lies_on(blank, offer, pricing)]
        if not weight or not able:
            continue
        size = _units(blank.length, 0, pricing), _units(blank.width, 1, pricing)
        if not min(size):
            raise Refused(f"has a grid too coarse for blank {name!r}")
        strips.append(
            Strip(
                long=size[0],
                wide=size[1],
                worth=weight,
                count=blank.qty,
                thickness=blank.slice or 0,
                layers=max(layers_of(blank, offer, question) for offer in able),
                may_be_long=blank.minimum
                or any(rooms[offer.id][1] == blank.width for offer in able),
            )
        )
    try:
        return best_boards(strips, rough, boards)
    except TooLarge as refusal:
        raise Refused(str(refusal)) from refusal


def _pieces(
    question: Question, pricing: Pricing, rows: Sequence[Row], offers: Sequence[Offer]
) -> dict[tuple[int, int], list[int]]:
    """Return the weights of what may be cut, by size in grid units."""
    pieces: dict[tuple[int, int], list[int]] = {}
    for name, blank in question.blanks.items():
        worth = [row.get(name, 0) for row in rows]
        if not any(worth):
            continue
        for x, y in {lie for offer in offers for lie in lies_on(blank, offer, pricing)}:
            place = (_units(x, 0, pricing), _units(y, 1, pricing))
            if not min(place):
                raise Refused(f"has a grid too coarse for blank {name!r}")
            held = pieces.get(place, [0] * len(rows))
            pieces[place] = list(map(max, held, worth))
    return pieces


def _alike(offers: Iterable[Offer]) -> list[list[Offer]]:
    """Return offers together whose blanks may lie the same ways."""
    groups: dict[tuple[str, str, str], list[Offer]] = {}
    for offer in offers:
        key = (offer.material, offer.section, offer.grain)
        groups.setdefault(key, []).append(offer)
    return list(groups.values())


_WAYS: Final = {
    KNAPSACK: _fillings,
    GUILLOTINE: _patterns,
    RIP_CROSSCUT: _strips,
}


def _units(size: int, axis: int, pricing: Pricing) -> int:
    steps, whole = pricing.grid[axis]
    return (size + pricing.kerfs[axis]) * steps // whole
