"""The summary of a plan on the terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from nesting.model.carried import Sawn, sawn_at_store
from nesting.model.plan import Layout, Plan, PlanBound
from nesting.model.quantities import write_duration, write_money, write_percent
from nesting.model.terms import Guide, Objective, Origin, StoppedBy
from nesting.units import Display, write_length

_STOPPED = {
    StoppedBy.CLOCK: (
        "The time ran out before the search was done; another run may differ."
    ),
    StoppedBy.CANCELLED: "You stopped the search; this is the best plan so far.",
}


def summary(plan: Plan) -> str:
    """Return a plan's summary as lines of text.

    Parameters
    ----------
    plan
        A verified plan.

    Returns
    -------
    str
        To buy, what is used from the rack, how near the best it is, and warnings.
    """
    totals = plan.totals
    blocks = [
        [
            f"{plan.job.name}: {totals.parts} parts from {totals.layouts} pieces of "
            f"stock, {totals.cuts} cuts, {_settings(plan)}; every "
            "cut replayed and checked",
            *_minutes(plan),
        ],
        _shopping(plan),
        _sawn(plan),
        _owned(plan.layouts),
        _nearness(plan),
        _ways(plan),
        _yields(plan),
        _unplaced(plan),
        [f"Mind: {warning}." for warning in plan.warnings],
    ]
    stopped = _STOPPED.get(StoppedBy(plan.made_by.stopped_by))
    if stopped:
        blocks.append([stopped])
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _settings(plan: Plan) -> str:
    if plan.order is None:
        held = sum(setting.kind != Guide.LINE for setting in plan.settings)
        return f"{held} settings of fence and stop"
    order = plan.order
    return f"{order.changes} settings of fence and stop ({order.nearness})"


def _minutes(plan: Plan) -> list[str]:
    if plan.minutes is None:
        return []
    return [f"About {write_duration(plan.minutes)} at the saws: an estimate"]


def _table(rows: Iterable[Sequence[str]], right: frozenset[int]) -> list[str]:
    table = [tuple(row) for row in rows]
    widths = [max(map(len, column)) for column in zip(*table, strict=True)]
    return [
        "  "
        + "  ".join(
            cell.rjust(width) if place in right else cell.ljust(width)
            for place, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in table
    ]


def _money(cents: int | None, currency: str) -> str:
    return "no price" if cents is None else write_money(cents, currency)


def _shopping(plan: Plan) -> list[str]:
    currency = plan.job.currency
    rows = [
        (f"{line.qty} x", line.stock, _money(line.cost_cents, currency))
        for line in plan.purchases
    ]
    rows += [
        (f"{line.qty} x", line.name, _money(line.cost_cents, currency))
        for line in plan.hardware
    ]
    if not rows:
        return ["To buy: nothing"]
    total = write_money(plan.totals.cost_cents, currency)
    if plan.totals.unpriced:
        total += f" and {plan.totals.unpriced} without a price"
    rows.append(("", "in all", total))
    return ["To buy", *_table(rows, frozenset({0, 2}))]


def _sawn(plan: Plan) -> list[str]:
    """Say what is cut at the store, and where, from the left end or the front edge."""
    display = plan.job.display
    unit = display.unit.value
    sawn = sawn_at_store(plan)
    told: list[str] = []
    rows = [
        (
            f"{each.qty} x",
            each.stock,
            "at " + " and ".join(write_length(x, display) for x in each.places),
        )
        for each in sawn
        if each.places
    ]
    if rows and plan.shop.haul is not None:
        most = f"{write_length(plan.shop.haul, display)} {unit}"
        told.append(
            f"To be sawn at the store, for no more than {most} can be carried home"
        )
        told += _table(rows, frozenset({0}))
    rows = [
        (f"{each.qty} x", each.stock, "; ".join(_store_cuts(each, display)))
        for each in sawn
        if each.cuts
    ]
    haul = plan.shop.haul_sheet
    if rows and haul is not None:
        sides = (write_length(side, display) for side in (haul.length, haul.width))
        told.append(
            "To be cut at the store, for no sheet larger than "
            f"{' x '.join(sides)} {unit} can be carried home"
        )
        told += _table(rows, frozenset({0}))
    return told


def _store_cuts(sawn: Sawn, display: Display) -> Iterator[str]:
    """Yield the cuts of a sheet at the store, each on the piece as it is then."""
    for number, cut in enumerate(sawn.cuts):
        sides = (write_length(side, display) for side in (cut.length, cut.width))
        of = f"the {' x '.join(sides)} " if number else ""
        way = "across" if cut.is_across else "along"
        yield f"{of}{way} at {write_length(cut.at, display)}"


def _owned(layouts: Sequence[Layout]) -> list[str]:
    owned: dict[str, int] = {}
    for layout in layouts:
        if layout.stock.origin != Origin.STORE:
            name, tag = layout.stock.name, layout.stock.tag
            if tag and tag not in name:
                name += f" ({tag})"
            owned[name] = owned.get(name, 0) + 1
    if not owned:
        return []
    rows = [(f"{count} x", name) for name, count in owned.items()]
    return ["From what you have", *_table(rows, frozenset({0}))]


def nearness(bound: PlanBound, currency: str) -> str:
    """Say in words how near the best a plan is for the stock of one bound."""
    if bound.proven:
        if bound.certificate is not None:
            return f"the best there is, proved and re-checked ({bound.basis})"
        if bound.is_by_search:
            return f"the best there is, proved by {bound.basis}; not re-checked"
        return f"the best there is: {bound.basis}"
    least = max(bound.lower_bound, 0)
    if bound.objective == Objective.COST:
        return (
            f"{write_money(bound.value, currency)}; no plan can cost less than "
            f"{write_money(least, currency)} ({bound.basis})"
        )
    if bound.objective == Objective.COUNT:
        return (
            f"{bound.value} pieces; no plan can do with fewer than {least} "
            f"({bound.basis})"
        )
    over = Fraction(bound.value - least, least) if least else Fraction(0)
    return (
        f"at most {write_percent(over)} more stock than any plan needs ({bound.basis})"
    )


def _nearness(plan: Plan) -> list[str]:
    rows = [
        (
            bound.title,
            nearness(bound, plan.job.currency),
        )
        for bound in plan.bounds
    ]
    return ["How near the best", *_table(rows, frozenset())] if rows else []


def _ways(plan: Plan) -> list[str]:
    """Set the ways to cut the job side by side."""
    if not plan.ways:
        return []
    rows = [
        (
            f"{way.name}, taken" if way.taken else way.name,
            write_money(way.cost_cents, plan.job.currency),
            f"{way.layouts} pieces of stock",
            f"{way.cuts} cuts",
            f"{way.changes} settings",
            way.why,
        )
        for way in plan.ways
    ]
    return ["Ways to cut it", *_table(rows, frozenset({1, 2, 3, 4}))]


def _yields(plan: Plan) -> list[str]:
    rows = [
        (
            f"{line.material} {line.section}".strip(),
            f"{write_percent(Fraction(line.parts, line.stock))} parts",
            f"{write_percent(Fraction(line.offcuts, line.stock))} kept",
            f"{write_percent(Fraction(line.scrap, line.stock))} scrap",
            f"{write_percent(Fraction(line.kerf, line.stock))} sawdust",
        )
        for line in plan.totals.yields
        if line.stock
    ]
    if not rows:
        return []
    return ["Where the wood goes", *_table(rows, frozenset({1, 2, 3, 4}))]


def _unplaced(plan: Plan) -> list[str]:
    if not plan.unplaced:
        return []
    rows = [(f"{miss.qty} x", miss.blank, miss.why) for miss in plan.unplaced]
    return ["NOT PLACED", *_table(rows, frozenset({0}))]
