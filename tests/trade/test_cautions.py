"""Cautions: one sentence each, a source, and the limits the trade teaches."""

from __future__ import annotations

import re

import pytest

from nesting.trade.cautions import (
    CAUTIONS,
    GENERAL,
    fence_crosscut_allowed,
    resaw_cautions,
    rip_cautions,
)
from nesting.trade.saws import SawKind
from nesting.units import Display, Unit

INCH = 40_640
FOOT = 12 * INCH


def test_the_general_caution() -> None:
    """The general caution defers to manual, rules and instruction, and keeps guards."""
    assert GENERAL.text == (
        "Follow your machine's manual, local rules and qualified instruction; "
        "keep every guard in place."
    )
    assert CAUTIONS["general"] is GENERAL


@pytest.mark.parametrize("rule", CAUTIONS.values(), ids=lambda rule: rule.id)
def test_each_is_one_sentence_with_a_source(rule: object) -> None:
    """A caution and its source are a sentence each, in inches and in millimetres."""
    assert isinstance(rule, type(GENERAL))
    metric = rule.sentence(Display(unit=Unit.MM))
    for sentence in (rule.text, metric, rule.source):
        assert sentence.endswith(".")
        assert not re.search(r"\. [A-Z]", sentence)
        assert "{" not in sentence
    if rule.limit is not None:
        assert '"' in rule.text
        assert " mm" in metric


@pytest.mark.parametrize("rule", CAUTIONS.values(), ids=lambda rule: rule.id)
def test_none_takes_a_guard_off(rule: object) -> None:
    """No caution speaks of a guard except to keep it."""
    assert isinstance(rule, type(GENERAL))
    for word in ("remove", "take off", "without", "disable"):
        assert word not in rule.text.lower()
    assert "guard" not in rule.text or "keep every guard in place" in rule.text


@pytest.mark.parametrize(
    ("name", "inches"),
    [
        # a saw manual: push stick when the rip is under 6 in or the piece under 12
        ("push-stick", 6),
        ("short-rip", 12),
        # common practice
        ("thin-strip", 3),
        ("clamp-short", 8),
        # four schools and shops: 12 in on the jointer; planer manuals: up to 14 in
        ("jointer-short", 12),
        ("planer-short", 14),
    ],
)
def test_limits(name: str, inches: int) -> None:
    """A rule speaks just under its limit and not at it."""
    rule = CAUTIONS[name]
    assert rule.speaks(inches * INCH - 1)
    assert not rule.speaks(inches * INCH)
    assert f'{inches}"' in rule.text


@pytest.mark.parametrize("name", ["general", "hands", "eased-edges", "lift"])
def test_rules_that_no_length_decides(name: str) -> None:
    """A rule that only names a figure never speaks because of a size."""
    assert not CAUTIONS[name].speaks(0)


@pytest.mark.parametrize(
    ("distance", "length", "ids"),
    [
        (7, 96, []),
        (6, 12, []),
        (5, 96, ["push-stick"]),
        (2, 96, ["thin-strip", "push-stick"]),
        (2, 10, ["thin-strip", "push-stick", "short-rip"]),
        (8, 10, ["short-rip"]),
    ],
)
def test_rips(distance: int, length: int, ids: list[str]) -> None:
    """Narrow and short rips gather their cautions, the gravest first."""
    rules = rip_cautions(distance * INCH, length * INCH)
    assert [rule.id for rule in rules] == ids


@pytest.mark.parametrize(
    ("height", "length", "saw", "ids"),
    [
        (6, 12, None, ["resaw"]),
        (6, 48, SawKind.BAND, ["resaw", "bandsaw-hands"]),
        (7, 48, SawKind.BAND, ["resaw-tall", "resaw", "bandsaw-hands"]),
        (4, 11, SawKind.TABLE, ["resaw-short", "resaw-table-saw", "resaw"]),
    ],
)
def test_resaws(height: int, length: int, saw: SawKind | None, ids: list[str]) -> None:
    """High and short pieces and a table saw have cautions of their own, too."""
    rules = resaw_cautions(height * INCH, length * INCH, saw=saw)
    assert [rule.id for rule in rules] == ids


def test_crosscut_on_the_fence() -> None:
    """A wide panel may run on the fence, a narrow board may not (common practice)."""
    assert fence_crosscut_allowed(4 * FOOT, 2 * FOOT)
    assert fence_crosscut_allowed(2 * FOOT, 2 * FOOT)
    assert not fence_crosscut_allowed(2 * FOOT - 1, 2 * FOOT)
    assert not fence_crosscut_allowed(6 * INCH, 2 * FOOT)


def test_lifting() -> None:
    """The lift caution names the load constant of the NIOSH equation."""
    assert "51 lb (23 kg)" in CAUTIONS["lift"].text
    assert "NIOSH" in CAUTIONS["lift"].source


def test_metric_wording() -> None:
    """A metric shop reads its limits in millimetres: 6 in is 152.4 mm."""
    text = CAUTIONS["push-stick"].sentence(Display(unit=Unit.MM))
    assert "Less than 152.4 mm between" in text
