"""A board problem in whole cells, for kernels that count in small integers.

Along each axis a part is its size and a kerf, rounded up to cells, and a board its
usable size and a kerf, rounded down: what fits in cells fits in ticks. The cell is the
greatest that loses nothing, unless there would be too many of them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import gcd
from typing import Final

from nesting.solve.boards.edges import lost_across, room_across
from nesting.solve.boards.problem import BoardPart, BoardProblem, BoardStock

_MOST_CELLS_X = 4_096  # of the longest section
_MOST_CELLS_Y = 768  # of the widest board
_MOST_COST = 2**36  # of all boards together, as the search counts
_GRADES = 1_000  # of the areas of parts that are out

# The places of what is given to the kernels. By part:
LENGTH: Final = 0
WIDTH: Final = 1
AREA: Final = 2
PENALTY: Final = 3
"""What it costs to leave one out."""
STAYS: Final = 4
"""Whether it may stay as thick as a board that could be resawn."""
# By family of sections, then by part:
LAYERS: Final = 5
GROUP: Final = 6
"""Parts of one group may share a resawn strip."""
# By kind of board:
BOARD_LENGTH: Final = 7
BOARD_WIDTH: Final = 8
ROUGH: Final = 9
"""The longest section of it that may be ripped."""
FAMILY: Final = 10
COST: Final = 11
BOARD_AREA: Final = 12
# By kind of board, then by part:
WHOLE: Final = 13
"""Whether a strip of the part is as wide as the board, and is not ripped from it."""
# By kind of board; BOUNDLESS where there is no limit:
LIMIT: Final = 14
# By part:
SQUARE: Final = 15
"""Whether it may not keep a rounded edge."""
# By kind of board, twice:
SQUARE_WIDTH: Final = 16
"""The width for strips some of which are to have square edges: where no other strip
keeps a rounded edge of the board, and where one does."""
# By kind of board; BOUNDLESS where nothing is kept:
KEEPS: Final = 17
"""The shortest end of it that is worth keeping."""
# By length of a section; nothing where boards are straight:
LOST: Final = 18
"""What of its width a section so long loses where it is ripped."""
# By kind of board:
WIDTH_CLASS: Final = 19
"""The same for boards of the very same width, which cells may not tell apart."""
BOUNDLESS: Final = 1_000_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardInstance:
    """A problem and its tables of numbers; parts are in the order of their widths."""

    problem: BoardProblem
    parts: tuple[BoardPart, ...]
    given: tuple[list[int], ...]
    wanted: tuple[int, ...]
    scale: int
    """What costs were divided by."""
    longest: int
    """The most cells of a section that is ripped."""
    widest: int

    @property
    def count(self) -> int:
        """How many parts are wanted, copies counted."""
        return sum(self.wanted)


def fits(part: BoardPart, stock: BoardStock, problem: BoardProblem) -> bool:
    """Tell whether a board of this size can give the part."""
    if part.length > stock.length or not part.layers.get(stock.section, 0):
        return False
    rough = problem.longest_rough
    is_square = part.square and stock.eased > 0
    if part.width == stock.width and not is_square:
        return True
    narrowest = problem.narrowest_rip
    if not is_square:  # a board that is no wider is not ripped into strips
        narrowest = min(narrowest, stock.width)
    ripped = max(part.width, narrowest)
    lost = lost_across(problem, part.length)
    return ripped + lost <= room_across(stock, int(is_square), 0) and (
        rough is None or part.length <= rough
    )


def board_instance_of(problem: BoardProblem) -> BoardInstance:
    """Count a problem in cells.

    Parts that fit nowhere, and parts of which none is wanted, are left out.
    """
    parts = tuple(
        sorted(
            (
                part
                for part in problem.parts
                if part.quantity > 0
                and any(
                    fits(part, stock, problem)
                    for stock in problem.stock
                    if stock.limit != 0
                )
            ),
            key=lambda part: (part.width, part.length, part.id),
        )
    )
    kx, ky = problem.kerf_x, problem.kerf_y
    rough = [_rough(stock, problem) for stock in problem.stock]
    strips = [max(part.width, problem.narrowest_rip) for part in parts]
    x = _cell(
        [part.length + kx for part in parts],
        [stock.length + kx for stock in problem.stock],
        max((each + kx for each in rough), default=1),
        _MOST_CELLS_X,
    )
    y = _cell(
        [each + ky for each in strips],
        [],
        max((stock.width + ky for stock in problem.stock), default=1),
        _MOST_CELLS_Y,
    )
    lengths = [-(-(part.length + kx) // x) for part in parts]
    board_widths = [(stock.width + ky) // y for stock in problem.stock]
    whole = [
        [
            int(
                max(part.width, min(stock.width, problem.narrowest_rip)) == stock.width
                and fits(part, stock, problem)
                and not (part.square and stock.eased)
            )
            for part in parts
        ]
        for stock in problem.stock
    ]
    # A part as wide as a board is not ripped, so a cell lost to rounding is no matter.
    widths = [-(-(each + ky) // y) for each in strips]
    families, layers = _families(problem, parts)
    scale, costs = _costs(problem)
    given = (
        lengths,
        widths,
        [a * b for a, b in zip(lengths, widths, strict=True)],
        _penalties(parts, costs),
        [int(part.may_stay_thick) for part in parts],
        [each for row in layers for each in row],
        [each for row in layers for each in _groups(parts, row)],
        [(stock.length + kx) // x for stock in problem.stock],
        board_widths,
        [(each + kx) // x for each in rough],
        families,
        costs,
        [
            ((stock.length + kx) // x) * width
            for stock, width in zip(problem.stock, board_widths, strict=True)
        ],
        [each for row in whole for each in row],
        [
            BOUNDLESS if stock.limit is None else stock.limit
            for stock in problem.stock
        ],
        [int(part.square) for part in parts],
        [
            (room_across(stock, 1, plain) + ky) // y
            for stock in problem.stock
            for plain in range(2)
        ],
        [
            BOUNDLESS if problem.keeps is None else -(-(problem.keeps + kx) // x)
            for _ in problem.stock
        ],
        _lost(problem, max((each + kx for each in rough), default=1) // x, x, y),
        [
            sorted({other.width for other in problem.stock}).index(stock.width)
            for stock in problem.stock
        ],
    )  # fmt: skip
    return BoardInstance(
        problem=problem,
        parts=parts,
        given=given,
        wanted=tuple(part.quantity for part in parts),
        scale=scale,
        longest=max(given[ROUGH], default=1),
        widest=max(board_widths, default=1),
    )


def _lost(problem: BoardProblem, longest: int, x: int, y: int) -> list[int]:
    """Return what sections of each length in cells lose of their width, in cells."""
    if not problem.crook:
        return []
    return [-(-lost_across(problem, long * x) // y) for long in range(longest + 1)]


def _rough(stock: BoardStock, problem: BoardProblem) -> int:
    if problem.longest_rough is None:
        return stock.length
    return min(stock.length, problem.longest_rough)


def _cell(
    sizes: Iterable[int], capacities: Iterable[int], most: int, cells: int
) -> int:
    """Return the size of a cell in ticks."""
    exact = gcd(*sizes)
    if exact and most <= exact * cells:
        return exact
    return max(1, -(-most // cells))


def _families(
    problem: BoardProblem, parts: tuple[BoardPart, ...]
) -> tuple[list[int], list[list[int]]]:
    """Return the family of each kind of board, and by family the layers of the parts.

    Sections that give the same layers of every part are one family.
    """
    numbers: dict[tuple[int, ...], int] = {}
    found = []
    for stock in problem.stock:
        row = tuple(part.layers.get(stock.section, 0) for part in parts)
        found.append(numbers.setdefault(row, len(numbers)))
    return found, [list(row) for row in numbers]


def _groups(parts: tuple[BoardPart, ...], layers: list[int]) -> list[int]:
    numbers: dict[tuple[int, int], int] = {}
    return [
        numbers.setdefault((part.thickness, each), len(numbers))
        for part, each in zip(parts, layers, strict=True)
    ]


def _costs(problem: BoardProblem) -> tuple[int, list[int]]:
    """Return costs as the search counts them, and what they were divided by."""
    costs = [stock.cost for stock in problem.stock]
    count = max(1, sum(part.quantity for part in problem.parts))
    scale = gcd(*costs) or 1
    least = -(-max(costs, default=0) * count // _MOST_COST)
    if least > scale:
        scale = least
    return scale, [-(-cost // scale) for cost in costs]


def _penalties(parts: tuple[BoardPart, ...], costs: list[int]) -> list[int]:
    """Return what leaving a part out costs: more than any boards, graded by area."""
    cost = max(costs, default=0) * sum(part.quantity for part in parts)
    areas = [part.length * part.width * part.weight for part in parts]
    most = max(areas, default=1) or 1
    return [(1 + cost) * (1 + area * _GRADES // most) for area in areas]
