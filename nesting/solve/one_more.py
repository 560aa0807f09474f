"""What one more sheet would do where limited sheets do not hold everything."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from nesting.model.problem import Budget
from nesting.model.stock import Stock
from nesting.model.terms import Origin
from nesting.solve.sheets.problem import SheetAnswer, SheetPart, SheetProblem

_WORK: Final = 1_000
"""Iterations for each kind of sheet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OneMore:
    """What one more sheet of each kind would hold of what is missing."""

    notes: tuple[str, ...]
    work: int


def one_more(
    question: SheetProblem,
    missing: Mapping[str, int],
    stock: Sequence[Stock],
    ask: Callable[[SheetProblem, Budget], SheetAnswer],
    budget: Budget,
) -> OneMore:
    """Try what is missing on one more sheet of each kind that can be bought.

    Parameters
    ----------
    question
        What was asked.
    missing
        How many of each part found no place on the limited sheets.
    stock
        The stock of the question; where none can be bought, all kinds are tried.
    ask, budget
        Answer a question, and how long; the small searches have work of their own.

    Returns
    -------
    OneMore
        A sentence for each kind. It says what was found: more may be possible if
        all is laid out anew.
    """
    parts = tuple(
        replace(part, quantity=missing[part.id])
        for part in question.parts
        if missing.get(part.id)
    )
    wanted = sum(_count(part) * part.quantity for part in parts)
    bought = [each for each in stock if each.origin is Origin.STORE] or list(stock)
    notes: list[str] = []
    work = 0
    for each in bought:
        kinds = tuple(s for s in question.stock if s.id == each.id)
        found = ask(
            replace(
                question,
                parts=parts,
                stock=tuple(replace(kind, limit=1) for kind in kinds),
                goal=None,
            ),
            replace(
                Budget(work=_WORK), deadline=budget.deadline, cancelled=budget.cancelled
            ),
        )
        work += found.work
        held = wanted - _left(parts, found)
        notes.append(_say(each, held, wanted))
    return OneMore(notes=tuple(notes), work=work)


def _count(part: SheetPart) -> int:
    return len(part.members) or 1


def _left(parts: Sequence[SheetPart], found: SheetAnswer) -> int:
    counts = {part.id: _count(part) for part in parts}
    return sum(counts[name] * count for name, count in found.unplaced)


def _say(stock: Stock, held: int, wanted: int) -> str:
    if not held:
        share = "none"
    elif held == wanted:
        share = "the one missing piece" if wanted == 1 else f"all {wanted}"
    else:
        share = f"{held}"
    of = "" if held == wanted == 1 else f" of the {wanted} missing pieces"
    if held == wanted > 1:
        of = " missing pieces"
    return f"one more {stock.id} would hold {share}{of}"
