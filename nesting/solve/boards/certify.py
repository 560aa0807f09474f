"""Make a certificate of a bound on boards, where the bound has a proof of that form.

Weights of the parts that are tried: what they take up of a board, and the prices the
linear program came by. What a board holds of each comes from `table`, for the problem
as whoever checks it sees it: any saw may resaw, every part may stay thick, and no rip
is too narrow.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from nesting.model.certificate import Certificate
from nesting.solve.boards.problem import BoardPart, BoardProblem
from nesting.solve.boards.table import BoardTable
from nesting.solve.proof import Demand, cut_down, prove, rows_of, scale_of, written

MOST_VECTORS: Final = 12
MOST_SUM: Final = 1 << 61
"""No board may hold as much, by a rough estimate."""


def certify_boards(
    problem: BoardProblem, value: int, vectors: Sequence[Sequence[int]]
) -> Certificate | None:
    """Return a certificate that placing every part costs at least a value.

    Parameters
    ----------
    problem
        As the checker sees it: see above.
    value
        A bound, in the problem's own costs.
    vectors
        Weights worth trying besides those that are made here, by part: zero or more.

    Returns
    -------
    Certificate | None
        None where no proof of this form was found, which says nothing of the value.
    """
    kinds = [k for k, each in enumerate(problem.stock) if each.limit != 0]
    if value <= 0 or not kinds or not any(p.quantity for p in problem.parts):
        return None
    if any(_is_long(part, problem) for part in problem.parts):
        return None
    table = BoardTable(problem)
    if not all(table.long) or not all(table.wide):
        return None
    weights = [
        each
        for each in dict.fromkeys(map(cut_down, [*_own(problem), *vectors]))
        if any(each) and max(each) * table.lengths[0] * table.board_widths[0] < MOST_SUM
    ][:MOST_VECTORS]
    held = [tuple(table.fill(list(row))[k] for k in kinds) for row in weights]
    needs = [
        sum(w * part.quantity for w, part in zip(row, problem.parts, strict=True))
        for row in weights
    ]
    proof = prove(
        [problem.stock[k].cost for k in kinds],
        [problem.stock[k].limit for k in kinds],
        [Demand(holds=h, need=n) for h, n in zip(held, needs, strict=True)],
        value,
    )
    scale = None if proof is None else scale_of(proof)
    if proof is None or scale is None:
        return None
    rows, ids = rows_of(proof), [problem.stock[k].id for k in kinds]
    return Certificate(
        scale=scale,
        vectors=tuple(
            tuple(
                (part.id, weight)
                for part, weight in zip(problem.parts, weights[row], strict=True)
                if weight
            )
            for row in rows
        ),
        values=tuple(tuple(zip(ids, held[row], strict=True)) for row in rows),
        kind="rip-crosscut",
        kerf=(problem.least_kerf_x, problem.least_kerf_y),
        grid=((1, table.unit_x), (1, table.unit_y)),
        tree=written(proof, ids, rows, scale),
    )


def _is_long(part: BoardPart, problem: BoardProblem) -> bool:
    """Tell whether a part is longer than what is ripped: the checker sees more ways."""
    rough = problem.longest_rough
    return rough is not None and part.quantity > 0 and part.length > rough


def _own(problem: BoardProblem) -> Iterator[tuple[int, ...]]:
    """Make weights from the parts alone: what each takes up of a board."""
    most = [max(1, *part.most_layers.values(), 1) for part in problem.parts]
    share = math.lcm(*most)
    yield tuple(
        (part.length + problem.least_kerf_x)
        * (part.width + problem.least_kerf_y)
        * (share // layers)
        for part, layers in zip(problem.parts, most, strict=True)
    )
