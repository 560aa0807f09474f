"""Tests of the first pages: shopping, yields, warnings, what to measure."""

from dataclasses import replace

import pytest

from nesting.model.plan import Caution, Plan, PlanOrder
from nesting.render.page import LETTER
from nesting.render.scene import Rect, Scene
from nesting.render.summary import SAFETY, percent, summary_pages
from nesting.render.wording import read_wording


def summary(plan: Plan) -> tuple[Scene, ...]:
    """Return the summary of a plan as scenes."""
    return tuple(p.scene() for p in summary_pages(plan, read_wording(plan), LETTER))


def about(scenes: tuple[Scene, ...], what: str) -> list[str]:
    """Return the texts about something."""
    return [t.words for page in scenes for t in page.texts if t.about == what]


def test_the_order_says_how_few_changes_there_could_be(bench: Plan) -> None:
    """Below the title: the changes with their bound, or the settings without one."""
    for order, words in (
        (PlanOrder(changes=33, lower_bound=31), "fence and stop: 33 (at least 31)."),
        (PlanOrder(changes=31, lower_bound=31), "stop: 31 (as few as can be)."),
        (None, f"stop: {len(read_wording(bench).setting_numbers)}."),
    ):
        page = summary(replace(bench, order=order))[0]
        assert words in " ".join(text.words for text in page.texts)


def test_shopping_list_has_stock_and_hardware(bench: Plan) -> None:
    """Each line to buy stands there with quantity and cost, the total below."""
    scenes = summary(bench)
    lines = about(scenes, "purchase")
    assert lines[:5] == ["birch ply", "birch 4x8", "96 × 48 × 1/2", "4", "$248.00"]
    assert about(scenes, "hardware")[:3] == ["Drawer slides, pair", "6", "–"]
    (total,) = about(scenes, "total")
    assert total == "Total $312.40, and 1 line has no price (–)."


def test_money_shows_its_currency(unit: Plan) -> None:
    """A currency in letters stands apart from its amount."""
    wording = read_wording(unit)
    assert wording.money(9900) == "EUR 99.00"
    assert wording.money(5) == "EUR 0.05"
    assert read_wording(replace(unit, job=replace(unit.job, currency="£"))).money(
        123456
    ) == ("£1234.56")


def test_owned_stock_is_listed_apart(bench: Plan) -> None:
    """What comes from the rack is named with its tag and is not on the list to buy."""
    scenes = summary(bench)
    assert "birch offcut, tag R7" in about(scenes, "owned")
    assert "birch offcut" not in " ".join(about(scenes, "purchase"))


def test_yields_add_up(plan: Plan) -> None:
    """The four shares of each material come to 100 %, within their rounding."""
    words = about(summary(plan), "yield")
    rows = [words[start : start + 5] for start in range(0, len(words), 5)]
    assert len(rows) == len(plan.totals.yields)
    for row in rows:
        assert sum(float(share) for share in row[1:]) == pytest.approx(100, abs=0.2)


def test_percent_rounds_to_tenths() -> None:
    """Two thirds are 66.7 %."""
    assert percent(2, 3) == "66.7"
    assert percent(1, 1) == "100.0"


def test_missing_pieces_come_first(bench: Plan) -> None:
    """What is not cut is said in a heavy box above everything but the title."""
    page = summary(bench)[0]
    boxes = [i for i in page.items if isinstance(i, Rect) and i.about == "unplaced"]
    assert len(boxes) == 1
    lines = [text for text in page.texts if text.about == "unplaced"]
    assert any("1 × Wall cleat 22 × 3: all four sheets" in t.words for t in lines)
    others = [t for t in page.texts if t.about not in ("unplaced", "title", "")]
    assert min(t.y for t in lines) > max(t.y for t in others)


def test_warnings_are_shown(bench: Plan) -> None:
    """Each warning of the plan stands on the first page."""
    assert bench.warnings[0] in about(summary(bench)[:1], "warning")


def test_safety_note_defers_to_the_manual(plan: Plan) -> None:
    """The note names the manual, the rules, instruction and the guards."""
    (note,) = about(summary(plan), "safety")
    assert note == SAFETY
    for words in ("machine's manual", "local rules", "qualified", "Keep every guard"):
        assert words in SAFETY


def test_general_cautions_stand_in_the_summary(bench: Plan) -> None:
    """Cautions of no single cut are in the summary, those of a cut are not."""
    words = " ".join(about(summary(bench), "caution"))
    assert "Support a whole sheet" in words
    assert "push block" not in words


def test_the_general_rule_is_said_once(bench: Plan) -> None:
    """A plan that carries the general rule does not print it beside the note."""
    rule = Caution(id="general", text="Follow your manual.", source="")
    words = about(summary(replace(bench, cautions=(rule,))), "caution")
    assert words == []


def test_each_bought_sheet_has_boxes_for_its_measures(bench: Plan) -> None:
    """A sheet has five boxes; its diagonal is planned at 107 5/16 in.

    By Pythagoras 96 x 48 in has a diagonal of 107.331 in.
    """
    scenes = summary(bench)
    words = about(scenes, "measure:S1")
    assert words == ["S1 birch ply", "1/2", "48", "96", "107 5/16", "the same"]
    boxes = [
        item
        for page in scenes
        for item in page.items
        if isinstance(item, Rect) and item.about == "to fill in"
    ]
    # Five sheets with five boxes; three 2x4 and one row for six 1x3 with four.
    assert len(boxes) == 5 * 5 + 4 * 4


def test_tolerances_are_those_of_the_standard(bench: Plan, unit: Plan) -> None:
    """Length, width and squareness tolerances are said in the maker's unit.

    PS 1-19, Structural Plywood: +0, -1/16 in (1.6 mm) in length and width; square
    within 1/64 in per foot (1.3 mm/m), 1/8 in (3.2 mm) between diagonals of a 4 x 8.
    """
    inches = " ".join(t.words for page in summary(bench) for t in page.texts)
    for words in ("1/16 in short", "never over", "1/64 in for each foot", "by 1/8 in"):
        assert words in inches
    metric = " ".join(t.words for page in summary(unit) for t in page.texts)
    for words in ("1.6 mm short", "1.3 mm in a metre", "3.2 mm"):
        assert words in metric


def test_crooked_lumber_has_its_planned_crook_in_the_box(bench: Plan) -> None:
    """1/4 in over 8 ft, as long as the 2x4 is: 1/4 in the box; 0 for the straight.

    A quarter of that over half the length is what the note above the boxes says.
    """
    crooked = tuple(
        replace(offer, crook=10_160) if "2x4" in offer.id else offer
        for offer in bench.offers
    )
    for offers, said in ((bench.offers, "0"), (crooked, "1/4")):
        words = about(summary(replace(bench, offers=offers)), "measure:L1")
        assert words[-2:] == ["96", said]
