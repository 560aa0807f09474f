"""A first bound: the boards together hold at least the volume of the parts.

A part takes its length and a kerf times its width and a kerf of a board that counts a
kerf more along both axes; in a strip that is resawn, the share of one slice.
"""

from __future__ import annotations

import math
from fractions import Fraction

from nesting.solve.boards.problem import BoardPart, BoardProblem, BoardStock
from nesting.solve.least_cost import Offer, least_cost

BASIS = "volume of wood"


def volume_bound(problem: BoardProblem) -> int:
    """Return what placing every part costs at least."""
    return max(_by_part(problem), _by_stock(problem))


def _area(part: BoardPart, problem: BoardProblem) -> int:
    return (part.length + problem.least_kerf_x) * (part.width + problem.least_kerf_y)


def _held(stock: BoardStock, problem: BoardProblem) -> int:
    return (stock.length + problem.least_kerf_x) * (stock.width + problem.least_kerf_y)


def _rate(stock: BoardStock, problem: BoardProblem) -> Fraction:
    return Fraction(stock.cost, _held(stock, problem))


def _by_part(problem: BoardProblem) -> int:
    """Count every part at the best rate of the boards that it may come from."""
    total = Fraction(0)
    for part in problem.parts:
        rates = [
            _rate(stock, problem) / part.most_layers[stock.section]
            for stock in problem.stock
            if stock.limit != 0
            and part.most_layers.get(stock.section, 0)
            and part.length <= stock.length
            and part.width <= stock.width
        ]
        total += part.quantity * _area(part, problem) * min(rates, default=Fraction(0))
    return -(-total.numerator // total.denominator)


def _by_stock(problem: BoardProblem) -> int:
    """Count all parts together, and whole boards, no more than there are."""
    wanted = [
        (part.quantity * _area(part, problem), max(part.most_layers.values()))
        for part in problem.parts
        if any(part.most_layers.values())
    ]
    share = math.lcm(*(layers for _, layers in wanted))
    return least_cost(
        [
            Offer(
                cost=stock.cost, holds=share * _held(stock, problem), limit=stock.limit
            )
            for stock in problem.stock
        ],
        sum(area * (share // layers) for area, layers in wanted),
    )
