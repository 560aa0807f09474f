"""Prove that no mix of stock is cheaper than a value, and keep the proof.

Claim: sum c[k] n[k] >= V for all whole n with lo <= n <= hi that meet every row,
sum h[r][k] n[k] >= need[r]. Method: branch and bound on the n[k]. On each branch one
row is filled as cheaply as fractions allow; its dual price y = c[j] / h[j], of the kind
j that is bought last, makes

    y need + sum over k of min over lo..hi of (c[k] - y h[k]) n[k]

as high as one row can (linear duality). Where that, rounded up to what costs can be,
reaches V, the branch is done and y is its proof; else the kind that was bought in parts
is split. Guarantee: what is returned is a proof, checked leaf by leaf in whole numbers;
None says nothing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from operator import mul
from typing import Final, TypeAlias

from nesting.model.certificate import Branch, Leaf, Split

MOST_NODES: Final = 1_500
FEW_NODES: Final = 200
"""Where a gap is left, and there is less to be proud of."""
MOST_DEPTH: Final = 200
TOP: Final = 1 << 42
"""The largest weight: more figures would prove no more."""
_ROUNDINGS: Final = tuple(10**power for power in range(0, 19, 3))
"""Prices are whole numbers of such parts of a unit where that is fine enough."""
_FINE: Final = 1_000
_MOST_BITS: Final = 2_000

Spans: TypeAlias = tuple[tuple[int, int | None], ...]


def cut_down(weights: Sequence[int]) -> tuple[int, ...]:
    """Return weights in lowest terms, and without the last figures where they are long.

    Rounding down keeps any weights right, for they may be anything.
    """
    unit = math.gcd(*weights) or 1
    top = max(weights, default=0) // unit
    if top <= TOP:
        return tuple(weight // unit for weight in weights)
    return tuple(weight // unit * TOP // top for weight in weights)


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """What a piece of each kind holds of something, and how much is needed."""

    holds: tuple[int, ...]
    need: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """A branch that is proved by one row at a price."""

    row: int
    price: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Forked:
    """A branch that is split: at most, or more than, so many of a kind."""

    kind: int
    at: int
    most: Proof
    more: Proof


Proof: TypeAlias = Priced | Forked


@dataclass(frozen=True, slots=True)
class _Filled:
    """A row filled in fractions: its cost, its price, and whole pieces by kind."""

    cost: int | None
    """Rounded up; None where the kinds run out before the row is met."""
    price: tuple[int, int]
    """As a fraction, above and below the line."""
    amounts: tuple[tuple[int, bool], ...]
    """(whole, and a part more) by kind."""


def prove(
    costs: Sequence[int],
    limits: Sequence[int | None],
    rows: Sequence[Demand],
    value: int,
    *,
    most_nodes: int = MOST_NODES,
) -> Proof | None:
    """Return a proof that no mix that meets the rows costs less than a value.

    Parameters
    ----------
    costs, limits
        Of the kinds; zero or more.
    rows
        What is held is zero or more.
    value
        Above zero.
    most_nodes
        It gives up on a larger tree.
    """
    prover = _Prover(costs, rows, value, most_nodes)
    return prover.start(tuple((0, limit) for limit in limits))


def scale_of(proof: Proof) -> int | None:
    """Return the least number whose parts hold every price; None where it is huge."""
    prices, stack = [], [proof]
    while stack:
        each = stack.pop()
        if isinstance(each, Forked):
            stack += [each.most, each.more]
        else:
            prices.append(each.price.denominator)
    scale = math.lcm(*prices)
    return scale if scale.bit_length() <= _MOST_BITS else None


def rows_of(proof: Proof) -> list[int]:
    """Return the numbers of the rows that a proof leans on, rising."""
    found, stack = set(), [proof]
    while stack:
        each = stack.pop()
        if isinstance(each, Forked):
            stack += [each.most, each.more]
        else:
            found.add(each.row)
    return sorted(found)


class _Prover:
    """One proof being looked for; rows join in when a mix breaks them."""

    def __init__(
        self,
        costs: Sequence[int],
        rows: Sequence[Demand],
        value: int,
        most_nodes: int,
    ) -> None:
        self.costs = costs
        self.rows = rows
        self.value = value
        self.step = math.gcd(*costs) or 1
        self.left = most_nodes
        self.active: list[int] = []
        self.orders: dict[int, list[int]] = {}

    def start(self, spans: Spans) -> Proof | None:
        """Return the proof of the whole, from the row that proves most by itself."""
        wanted = [number for number, row in enumerate(self.rows) if row.need > 0]
        if not wanted:
            return None
        self.active = [
            max(wanted, key=lambda number: _worth(self._fill(number, spans)))
        ]
        return self.branch(spans)

    def branch(self, spans: Spans, depth: int = 0) -> Proof | None:
        """Return the proof of a branch, if it is not too long."""
        self.left -= 1
        if self.left < 0 or depth > MOST_DEPTH:
            return None
        filled = {number: self._fill(number, spans) for number in self.active}
        while True:
            most = max(filled, key=lambda number: _worth(filled[number]))
            cost = filled[most].cost
            if cost is None or self._reaches(cost, 1):
                price = self._rounded(self.rows[most], filled[most].price, spans)
                return None if price is None else Priced(row=most, price=price)
            split = self._split(filled, most)
            if split is not None:
                return self._forked(spans, *split, depth)
            broken = self._broken([whole for whole, _ in filled[most].amounts])
            if broken is None:
                return None
            self.active.append(broken)
            filled[broken] = self._fill(broken, spans)

    def _forked(self, spans: Spans, kind: int, at: int, depth: int) -> Proof | None:
        """Return the proof of both branches, of the one that looks cheaper first."""
        low, high = spans[kind]
        sides = [
            (*spans[:kind], span, *spans[kind + 1 :])
            for span in ((low, at), (at + 1, high))
        ]
        worth = [
            max(_worth(self._fill(number, side)) for number in self.active)
            for side in sides
        ]
        proofs: list[Proof | None] = [None, None]
        for side in (0, 1) if worth[0] <= worth[1] else (1, 0):
            proofs[side] = self.branch(sides[side], depth + 1)
            if proofs[side] is None:
                return None
        most, more = proofs
        if most is None or more is None:
            return None
        return Forked(kind=kind, at=at, most=most, more=more)

    def _broken(self, mix: Sequence[int]) -> int | None:
        """Return the row, of those not minded yet, that a mix falls short of most."""
        short = [
            (Fraction(row.need - sum(map(mul, row.holds, mix)), row.need), -number)
            for number, row in enumerate(self.rows)
            if row.need > 0 and number not in self.active
        ]
        worst = max(short, default=(Fraction(0), 0))
        return -worst[1] if worst[0] > 0 else None

    def _reaches(self, total: int, parts: int) -> bool:
        """Tell whether a cost, in parts, rounded up to what costs can be, is enough."""
        return -(-total // (parts * self.step)) * self.step >= self.value

    def _rounded(
        self, row: Demand, price: tuple[int, int], spans: Spans
    ) -> Fraction | None:
        """Return a plain price that proves the value on a branch, if one does."""
        above, below = price
        for parts in _ROUNDINGS:
            plain = above * parts // below
            if plain >= _FINE and self._proves(row, plain, parts, spans):
                return Fraction(plain, parts)
        return Fraction(*price) if self._proves(row, *price, spans) else None

    def _proves(self, row: Demand, above: int, below: int, spans: Spans) -> bool:
        total = above * row.need
        for cost, held, (low, high) in zip(self.costs, row.holds, spans, strict=True):
            if high is not None and low > high:
                return True
            reduced = cost * below - above * held
            if reduced >= 0:
                total += reduced * low
            elif high is None:
                return False
            else:
                total += reduced * high
        return self._reaches(total, below)

    def _fill(self, number: int, spans: Spans) -> _Filled:
        """Fill a row as cheaply as parts of pieces allow."""
        row, order = self.rows[number], self._order(number)
        amounts = [(low, False) for low, _ in spans]
        lows = [low for low, _ in spans]
        cost = sum(map(mul, self.costs, lows))
        left = row.need - sum(map(mul, row.holds, lows))
        if left <= 0:
            return _Filled(cost, (0, 1), tuple(amounts))
        for kind in order:
            low, high = spans[kind]
            held, each = row.holds[kind], self.costs[kind]
            if high is None or left <= held * (high - low):
                whole, rest = divmod(left, held)
                amounts[kind] = (low + whole, rest > 0)
                return _Filled(
                    cost - (-each * left // held), (each, held), tuple(amounts)
                )
            amounts[kind] = (high, False)
            cost += each * (high - low)
            left -= held * (high - low)
        # Even all does not do: a price that is high enough makes that worth the value.
        price = Fraction(max(0, self.value - cost), left)
        if order:
            last = order[-1]
            price = max(price, Fraction(self.costs[last], row.holds[last]))
        return _Filled(None, (price.numerator, price.denominator), tuple(amounts))

    def _order(self, number: int) -> list[int]:
        """Return the kinds that hold anything, the cheapest for what it holds first."""
        if number not in self.orders:
            holds = self.rows[number].holds
            self.orders[number] = sorted(
                (kind for kind, held in enumerate(holds) if held > 0),
                key=lambda kind: (Fraction(self.costs[kind], holds[kind]), kind),
            )
        return self.orders[number]

    def _split(
        self, filled: Mapping[int, _Filled], most: int
    ) -> tuple[int, int] | None:
        """Return a kind and where to split it; None where the mix meets all rows."""
        amounts = filled[most].amounts
        for kind, (whole, has_part) in enumerate(amounts):
            if has_part:
                return kind, whole
        for number, other in filled.items():
            row = self.rows[number]
            held = sum(h * n for h, (n, _) in zip(row.holds, amounts, strict=True))
            if held < row.need:
                for kind, (whole, has_part) in enumerate(other.amounts):
                    if whole + has_part > amounts[kind][0]:
                        return kind, amounts[kind][0]
        return None


def _worth(filled: _Filled) -> tuple[bool, int]:
    """Return how much a row proves: what cannot be met at all proves most."""
    return filled.cost is None, filled.cost or 0


def written(
    proof: Proof, ids: Sequence[str], rows: Sequence[int], scale: int
) -> Branch:
    """Return a proof as a certificate holds it.

    Parameters
    ----------
    proof
        Its prices are whole numbers of parts of the scale.
    ids
        Of the kinds.
    rows
        The numbers of the rows that are kept, in their order.
    scale
        As `scale_of` gives it.
    """
    if isinstance(proof, Forked):
        return Split(
            offer=ids[proof.kind],
            at=proof.at,
            most=written(proof.most, ids, rows, scale),
            more=written(proof.more, ids, rows, scale),
        )
    weight = int(proof.price * scale)
    return Leaf(weights=tuple(weight if row == proof.row else 0 for row in rows))
