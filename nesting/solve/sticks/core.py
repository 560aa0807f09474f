"""The stick problem stripped to whole numbers on its coarsest exact grid.

A part of length l on a saw with kerf k weighs l + k, and a stick of usable length U has
room U + k: parts fill a stick when their weights sum to at most its room. All weights
and rooms are divided by their greatest common divisor, equal parts are merged, and a
room is cut down to the largest sum of weights that can be had in it. Every step is
exact: a plan for the core is a plan for the sticks, and a bound on the one is a bound
on the other.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import gcd
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from nesting.solve.sticks.problem import StickPattern

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nesting.solve.sticks.problem import StickPart, StickProblem, StickStock

Fill: TypeAlias = tuple[tuple[int, int], ...]
"""(part index, how many) of one stick, by index."""

MOST_BITS = 4_000_000
"""Grid units of the longest room whose sums of weights are listed bit by bit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A size of stick that can be had."""

    room: int
    """In grid units: the sum of weights it takes."""
    cost: int
    limit: int
    """How many can be had; no more than there are pieces."""
    endless: bool
    """Whether the limit can never matter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Core:
    """Cover the demands by fills of sizes at the least cost; an index is a place."""

    weights: tuple[int, ...]
    """In grid units, longest first, all different."""
    lengths: tuple[int, ...]
    """The parts' own lengths in ticks: what is lost when one is not placed."""
    demands: tuple[int, ...]
    sizes: tuple[Size, ...]

    @property
    def pieces(self) -> int:
        """Return how many pieces are wanted."""
        return sum(self.demands)

    @property
    def total(self) -> int:
        """Return the weight of all pieces, in grid units."""
        return sum(w * d for w, d in zip(self.weights, self.demands, strict=True))

    @property
    def step(self) -> int:
        """Return the greatest number that divides every cost, so every plan's."""
        return gcd(*(size.cost for size in self.sizes)) or 1

    def priced(self, costs: tuple[int, ...]) -> Core:
        """Return the same core with other costs, one per size."""
        pairs = zip(self.sizes, costs, strict=True)
        return replace(self, sizes=tuple(replace(s, cost=c) for s, c in pairs))

    def rest(self, demands: list[int], limits: list[int]) -> Core:
        """Return the same core with other demands and limits; indices stay."""
        pairs = zip(self.sizes, limits, strict=True)
        sizes = tuple(replace(size, limit=limit) for size, limit in pairs)
        return replace(self, demands=tuple(demands), sizes=sizes)


class Cut(NamedTuple):
    """How a number of sticks of one size are cut."""

    size: int
    fill: Fill
    times: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Cuts that make no piece too many, and what they leave out."""

    cuts: tuple[Cut, ...]
    missing: tuple[int, ...]
    """How many of each part are not placed."""
    lost: int
    """The length of the missing parts together, in ticks."""
    cost: int
    sticks: int

    @property
    def rank(self) -> tuple[int, int, int]:
        """Return what makes one plan better than another: the smaller, the better."""
        return self.lost, self.cost, self.sticks


def weigh_plan(core: Core, cuts: list[Cut]) -> Plan:
    """Return the plan that a list of cuts gives, with surplus pieces left out.

    Parameters
    ----------
    core
        The problem; the cuts keep its rooms and limits.
    cuts
        May make more of a part than is wanted. Each stick is moved to the cheapest size
        that still takes its pieces, as far as the limits allow.

    Returns
    -------
    Plan
        Never dearer than the cuts were.
    """
    trimmed, left = _without_surplus(core, cuts)
    if len(core.sizes) > 1:
        trimmed = _cheapest_sizes(core, trimmed)
    return Plan(
        cuts=tuple(trimmed),
        missing=tuple(left),
        lost=sum(n * length for n, length in zip(left, core.lengths, strict=True)),
        cost=sum(cut.times * core.sizes[cut.size].cost for cut in trimmed),
        sticks=sum(cut.times for cut in trimmed),
    )


def fill_weight(core: Core, fill: Fill) -> int:
    """Return the sum of weights in a fill, in grid units."""
    return sum(core.weights[i] * n for i, n in fill)


def _without_surplus(core: Core, cuts: list[Cut]) -> tuple[list[Cut], list[int]]:
    """Return the cuts less what is made too many, and what is still wanted."""
    left = list(core.demands)
    kept = []
    for size, fill, times in cuts:
        todo = times
        while todo:
            whole = min(todo, *(left[i] // n for i, n in fill)) if fill else 0
            if whole:
                used, made = whole, fill
            else:
                used = 1
                made = tuple((i, min(n, left[i])) for i, n in fill if left[i])
                if not made:
                    break
            kept.append(Cut(size, made, used))
            for i, n in made:
                left[i] -= n * used
            todo -= used
    return kept, left


def _cheapest_sizes(core: Core, cuts: list[Cut]) -> list[Cut]:
    """Return the same fills, each on the cheapest size left, fullest stick first.

    Going down by weight never runs dry: what the heavier fill takes away from a lighter
    one, it leaves in exchange.
    """
    left = [size.limit for size in core.sizes]
    order = sorted(
        range(len(core.sizes)), key=lambda k: (core.sizes[k].cost, core.sizes[k].room)
    )
    moved = []
    for cut in sorted(cuts, key=lambda cut: -fill_weight(core, cut.fill)):
        weight, todo = fill_weight(core, cut.fill), cut.times
        for k in order:
            if todo and left[k] and core.sizes[k].room >= weight:
                used = min(todo, left[k])
                moved.append(Cut(k, cut.fill, used))
                left[k] -= used
                todo -= used
    before = sum(cut.times * core.sizes[cut.size].cost for cut in cuts)
    after = sum(cut.times * core.sizes[cut.size].cost for cut in moved)
    return moved if after < before else cuts


@dataclass(frozen=True, slots=True, kw_only=True)
class Reduction:
    """A core and the way back from it."""

    core: Core
    owners: tuple[tuple[StickPart, ...], ...]
    """The parts behind each weight."""
    stock: tuple[StickStock, ...]
    """The stock behind each size."""
    oversize: tuple[StickPart, ...]
    """Parts that are longer than any stick."""


def reduce_problem(problem: StickProblem) -> Reduction:
    """Return the core of a problem; parts that fit no stick are set aside.

    Stock that an endless one beats in both room and cost is dropped with no loss.
    """
    stock = [s for s in problem.stock if s.limit is None or s.limit > 0]
    longest = max((s.length for s in stock), default=0)
    wanted = sorted(
        (p for p in problem.parts if p.quantity > 0), key=lambda p: -p.length
    )
    oversize = tuple(p for p in wanted if p.length > longest)
    owners: dict[int, list[StickPart]] = {}
    for part in wanted[len(oversize) :]:
        owners.setdefault(part.length, []).append(part)
    lengths = tuple(owners)
    demands = tuple(sum(p.quantity for p in parts) for parts in owners.values())
    weights = [length + problem.kerf for length in lengths]
    stock = [s for s in stock if weights and s.length + problem.kerf >= weights[-1]]
    rooms = [s.length + problem.kerf for s in stock]
    grid = gcd(*weights, *rooms) or 1
    if max(rooms, default=0) // grid <= MOST_BITS:
        sums = reachable_sums(
            [weight // grid for weight in weights],
            list(demands),
            max(rooms, default=0) // grid,
        )
        rooms = [highest_sum(sums, room // grid) * grid for room in rooms]
        grid = gcd(*weights, *rooms) or 1
    pieces = sum(demands)
    sizes = []
    for have, room in zip(stock, rooms, strict=True):
        limit = pieces if have.limit is None else min(have.limit, pieces)
        endless = limit == pieces
        sizes.append(
            Size(room=room // grid, cost=have.cost, limit=limit, endless=endless)
        )
    keep = [k for k in range(len(sizes)) if not _is_beaten(sizes, k)]
    return Reduction(
        core=Core(
            weights=tuple(weight // grid for weight in weights),
            lengths=lengths,
            demands=demands,
            sizes=tuple(sizes[k] for k in keep),
        ),
        owners=tuple(tuple(parts) for parts in owners.values()),
        stock=tuple(stock[k] for k in keep),
        oversize=oversize,
    )


def _is_beaten(sizes: list[Size], k: int) -> bool:
    """Return whether an endless size has as much room for as little money."""
    mine = sizes[k]
    for other, size in enumerate(sizes):
        if other == k or not size.endless:
            continue
        if size.room >= mine.room and size.cost <= mine.cost:
            same = size.room == mine.room and size.cost == mine.cost
            if not (same and mine.endless) or other < k:
                return True
    return False


def reachable_sums(weights: list[int], counts: list[int], room: int) -> int:
    """Return the sums of weights up to a room, as a number with those bits set."""
    mask = (1 << room + 1) - 1
    sums = 1
    for weight, count in zip(weights, counts, strict=True):
        sums = add_copies(sums, weight, min(count, room // weight), mask)
    return sums


def add_copies(sums: int, weight: int, count: int, mask: int) -> int:
    """Return the sums that up to `count` more of a weight give, under a mask."""
    chunk = 1
    while count > 0:
        used = min(chunk, count)
        sums |= (sums << weight * used) & mask
        count -= used
        chunk *= 2
    return sums


def highest_sum(sums: int, room: int) -> int:
    """Return the largest sum that fits a room."""
    return (sums & (1 << room + 1) - 1).bit_length() - 1


def name_patterns(reduction: Reduction, plan: Plan) -> tuple[StickPattern, ...]:
    """Return the plan's cuts with the ids of stock and parts, equal sticks together."""
    queues = [
        [(part.id, part.quantity) for part in parts] for parts in reduction.owners
    ]
    groups: dict[tuple[int, tuple[tuple[str, int], ...]], int] = {}
    for cut in sorted(plan.cuts, key=lambda cut: (cut.size, _by_kind(cut.fill))):
        for _ in range(cut.times):
            counts = tuple(pair for i, n in cut.fill for pair in _take(queues[i], n))
            groups[cut.size, counts] = groups.get((cut.size, counts), 0) + 1
    return tuple(
        StickPattern(stock=reduction.stock[size].id, counts=counts, times=times)
        for (size, counts), times in groups.items()
    )


def name_missing(reduction: Reduction, plan: Plan) -> tuple[tuple[str, int], ...]:
    """Return what is not placed, by part id, oversize parts first."""
    missing = [(part.id, part.quantity) for part in reduction.oversize]
    for parts, left in zip(reduction.owners, plan.missing, strict=True):
        # The last parts of equal length are those that `name_patterns` leaves over.
        queue = [(part.id, part.quantity) for part in reversed(parts)]
        missing += _take(queue, left)
    return tuple(missing)


def name_weights(
    reduction: Reduction, rows: Sequence[Sequence[int]], problem: StickProblem
) -> tuple[tuple[int, ...], ...]:
    """Return numbers by weight as numbers by part of the problem, each row once."""
    found = []
    for row in dict.fromkeys(map(tuple, rows)):
        by_id = {
            part.id: number
            for parts, number in zip(reduction.owners, row, strict=True)
            for part in parts
        }
        found.append(tuple(by_id.get(part.id, 0) for part in problem.parts))
    return tuple(found)


def _by_kind(fill: Fill) -> tuple[tuple[int, int], ...]:
    """Return a sort key that puts fills with many of the longest parts first."""
    return tuple((i, -n) for i, n in fill)


def _take(queue: list[tuple[str, int]], count: int) -> list[tuple[str, int]]:
    """Return the next so many pieces of a queue of parts, and take them from it."""
    taken = []
    while count:
        part, left = queue[0]
        used = min(count, left)
        taken.append((part, used))
        count -= used
        if used < left:
            queue[0] = (part, left - used)
        else:
            queue.pop(0)
    return taken
