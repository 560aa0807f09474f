"""The summary on the terminal says how few changes of setting there could be."""

from __future__ import annotations

from dataclasses import replace

import pytest

import nesting
from nesting.cli.summary import summary
from nesting.files import quick_job
from nesting.model.plan import Plan, PlanOrder


@pytest.fixture(scope="module")
def rack(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """Return the plan of six sticks of one length."""
    path = tmp_path_factory.mktemp("rack") / "rack.csv"
    path.write_text("part,qty,length\nbar,6,33\n", encoding="utf-8")
    return nesting.plan_job(quick_job(path, sticks=["pine 2x4 = 96"]))


@pytest.mark.parametrize(
    ("order", "words"),
    [
        (PlanOrder(changes=33, lower_bound=31), "33 settings of fence and stop (at"),
        (PlanOrder(changes=31, lower_bound=31), "31 settings of fence and stop (as"),
        (None, "1 settings of fence and stop;"),
    ],
)
def test_settings(rack: Plan, order: PlanOrder | None, words: str) -> None:
    """The first line counts changes with their bound, or settings where none is."""
    assert words in summary(replace(rack, order=order)).splitlines()[0]


def test_an_estimate_of_the_time(rack: Plan) -> None:
    """3 min for one setting, 1 min for each cut, nothing for sheets that are none."""
    minutes = 3 + rack.totals.cuts
    said = summary(rack).splitlines()
    assert said[1] == f"About {minutes} min at the saws: an estimate"
    assert "estimate" not in summary(replace(rack, order=None))
