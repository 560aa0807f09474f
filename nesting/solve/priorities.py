"""What comes first where limited sheets do not hold everything.

The search leaves out as little area as it can. With priorities each part counts its
area times a weight: what all parts of lower priority count together is less than what
one part of the next higher priority does, so that nothing is left out for the sake of
less important parts. Weights are whole numbers, and their sum stays within what the
search counts with; where it would not, each priority weighs a fixed number of times the
next instead, and a note says so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from nesting.solve.sheets.problem import SheetPart, SheetProblem

MOST: Final = 2**59
"""What the search may count and still be compiled; see `engine`."""


def weighed(
    problem: SheetProblem, priorities: Mapping[str, int], name: str
) -> tuple[SheetProblem, tuple[str, ...]]:
    """Return a problem whose parts weigh by their priorities.

    Parameters
    ----------
    problem
        Left as it is if some sheet is not limited: then nothing has to be left out.
    priorities
        By part id; 1 comes first.
    name
        Of the material, for the note.

    Returns
    -------
    SheetProblem and tuple of str
        With a note if the weights are not as large as they should be.
    """
    if any(stock.limit is None for stock in problem.stock):
        return problem, ()
    ranks = sorted({priorities[part.id] for part in problem.parts}, reverse=True)
    if len(ranks) < 2:
        return problem, ()
    classes = [[p for p in problem.parts if priorities[p.id] == rank] for rank in ranks]
    weights = _weights(classes)
    notes: tuple[str, ...] = ()
    if _sum(classes, weights) > MOST:
        ratio = _ratio(classes)
        weights = [ratio**number for number in range(len(classes))]
        said = f"each counts {ratio} times the next one's area"
        if ratio == 1:
            said = "they are passed over"
        notes = (
            f"{name}: there is too much of it to weigh priorities strictly; {said}",
        )
    by_rank = dict(zip(ranks, weights, strict=True))
    parts = tuple(
        replace(part, weight=by_rank[priorities[part.id]]) for part in problem.parts
    )
    return replace(problem, parts=parts), notes


def _weights(classes: Sequence[Sequence[SheetPart]]) -> list[int]:
    """Return a weight for each class, the least important first."""
    weights: list[int] = []
    total = 0
    for parts in classes:
        weight = total // min(map(_area, parts)) + 1
        weights.append(weight)
        total += weight * _whole(parts)
    return weights


def _ratio(classes: Sequence[Sequence[SheetPart]]) -> int:
    """Return the largest ratio of the weights of two neighbours that can be counted."""
    ratio = 1
    step = 1 << 20
    while step:
        powers = [(ratio + step) ** number for number in range(len(classes))]
        if _sum(classes, powers) <= MOST:
            ratio += step
        step //= 2
    return ratio


def _sum(classes: Sequence[Sequence[SheetPart]], weights: Sequence[int]) -> int:
    return sum(w * _whole(parts) for w, parts in zip(weights, classes, strict=True))


def _whole(parts: Sequence[SheetPart]) -> int:
    return sum(_area(part) * part.quantity for part in parts)


def _area(part: SheetPart) -> int:
    return part.length * part.width
