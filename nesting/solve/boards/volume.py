"""A first bound: the boards together hold at least the volume of the parts.

A part takes its length and a kerf times its width and a kerf of a board that counts a
kerf more along both axes; in a strip that is resawn, the share of one slice. Boards of
the least cost for their area are taken first, in fractions, as many as there are.
"""

from __future__ import annotations

from fractions import Fraction

from nesting.solve.boards.problem import BoardPart, BoardProblem, BoardStock

BASIS = "volume of wood"


def volume_bound(problem: BoardProblem) -> int:
    """Return what placing every part costs at least."""
    return max(_by_part(problem), _by_stock(problem))


def _area(part: BoardPart, problem: BoardProblem) -> int:
    return (part.length + problem.least_kerf_x) * (part.width + problem.least_kerf_y)


def _rate(stock: BoardStock, problem: BoardProblem) -> Fraction:
    return Fraction(
        stock.cost,
        (stock.length + problem.least_kerf_x) * (stock.width + problem.least_kerf_y),
    )


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
    """Count all parts together, and no more boards than there are."""
    left = Fraction(0)
    for part in problem.parts:
        layers = max(part.most_layers.values(), default=0)
        if layers:
            left += Fraction(part.quantity * _area(part, problem), layers)
    total = Fraction(0)
    for stock in sorted(problem.stock, key=lambda each: _rate(each, problem)):
        area = left
        if stock.limit is not None:
            whole = (stock.length + problem.least_kerf_x) * (
                stock.width + problem.least_kerf_y
            )
            area = min(left, Fraction(stock.limit * whole))
        total += area * _rate(stock, problem)
        left -= area
    return -(-total.numerator // total.denominator)
