"""The one door: every check, causes before what follows of them."""

from __future__ import annotations

from itertools import chain

from nesting.model.plan import Plan, Violation
from nesting.verify.advice import check_advice
from nesting.verify.bounds import check_bounds
from nesting.verify.cautions import check_cautions
from nesting.verify.changes import check_changes
from nesting.verify.crook import check_crook
from nesting.verify.demand import check_demand, check_needs, check_parts
from nesting.verify.glueups import check_glueups
from nesting.verify.haul import check_haul
from nesting.verify.ids import check_ids
from nesting.verify.kinds import check_kinds
from nesting.verify.money import check_purchases, check_totals
from nesting.verify.remains import check_remains
from nesting.verify.replay import check_pieces, replay
from nesting.verify.routes import check_routes
from nesting.verify.runs import check_runs
from nesting.verify.saws import check_saws
from nesting.verify.settings import check_settings
from nesting.verify.steps import check_order, check_steps
from nesting.verify.supply import check_supply
from nesting.verify.witness import check_geometry
from nesting.verify.words import check_format, check_numbers, check_words
from nesting.verify.yields import check_yields
from nesting.verify.zones import check_zones


def verify(plan: Plan) -> tuple[Violation, ...]:
    """Return every rule that a plan breaks; nothing if it is sound.

    Parameters
    ----------
    plan
        Any plan, however wrong: its records check nothing, and neither kinds nor
        references nor numbers in it are trusted.

    Returns
    -------
    tuple of Violation
        Each with the name of its `Rule`, where, and what in a sentence; str() of one is
        a line. A fault at the root shows again in what follows of it. If a field holds
        the wrong kind of value, only faults of rule ``type`` are told.

    Notes
    -----
    Not judged, for the plan says nothing to hold it against: free texts (names, notes,
    roles beyond being empty, warnings), how sizes and money are shown, the purpose of a
    cut, the smallest piece of a saw, builds not chosen, stock not
    used, what made the plan, and whether a lower bound that is no proof could be
    higher.
    """
    unreadable = tuple(check_kinds(plan))
    if unreadable:
        return unreadable
    replayed = replay(plan)
    trails = replayed.trails
    return tuple(
        chain(
            check_format(plan),
            check_words(plan),
            check_numbers(plan),
            check_ids(plan),
            check_steps(plan),
            check_order(plan),
            replayed.violations,
            chain.from_iterable(map(check_pieces, plan.layouts, trails)),
            check_glueups(plan, trails),
            check_saws(plan, trails),
            check_settings(plan),
            check_changes(plan),
            check_remains(plan),
            check_runs(plan, trails),
            check_zones(plan, trails),
            check_haul(plan, trails),
            check_crook(plan, trails),
            check_supply(plan),
            check_demand(plan),
            check_parts(plan),
            check_needs(plan),
            check_routes(plan),
            check_purchases(plan),
            check_totals(plan),
            check_advice(plan),
            check_yields(plan, trails),
            check_bounds(plan),
            check_cautions(plan),
            check_geometry(plan),
        )
    )
