"""A job that takes no time, for kernels to be compiled by."""

from __future__ import annotations

from nesting.solve.boards.problem import BoardPart, BoardProblem, BoardStock


def tiny_problem() -> BoardProblem:
    """Return a few slices to be cut from one kind of board."""
    part = BoardPart(
        id="a",
        length=20,
        width=5,
        thickness=2,
        quantity=6,
        layers={"s": 2},
        most_layers={"s": 2},
    )
    stock = BoardStock(id="b", section="s", length=60, width=12, cost=7, limit=None)
    return BoardProblem(
        parts=(part,),
        stock=(stock,),
        kerf_x=1,
        kerf_y=1,
        least_kerf_x=1,
        least_kerf_y=1,
    )
