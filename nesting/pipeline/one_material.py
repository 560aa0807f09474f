"""The part of a problem that is about one material."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from nesting.model.blank import Need
from nesting.model.problem import Problem


def only(problem: Problem, needs: Sequence[Need], material: str) -> Problem:
    """Return the problem of the blanks and the stock of one material.

    Parameters
    ----------
    problem
        Of the whole job.
    needs
        Its needs, each with the one build that was chosen.
    material
        By name.
    """
    own = tuple(_own(needs, material))
    members = {take.blank.id for need in own for take in need.builds[0].takes}
    return replace(
        problem,
        stock=tuple(stock for stock in problem.stock if stock.material == material),
        needs=own,
        runs=tuple(run for run in problem.runs if run.members[0] in members),
    )


def _own(needs: Sequence[Need], material: str) -> Iterator[Need]:
    """Yield the needs of one material, with the blanks of that material alone."""
    for need in needs:
        build = need.builds[0]
        takes = tuple(t for t in build.takes if t.blank.material == material)
        if takes:
            yield replace(need, builds=(replace(build, takes=takes),))
