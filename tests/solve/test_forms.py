"""Which lumber is boards and which is sticks, and from what a blank may come."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.model.blank import Blank, Build, Need, Take
from nesting.model.problem import Problem
from nesting.model.shop import Saw
from nesting.model.stock import Stock
from nesting.model.terms import Form, Guide, Plane
from nesting.solve import settle_forms
from nesting.solve.families import families
from nesting.solve.groups import group
from nesting.solve.slices import layers_in
from nesting.trade.lumber import nominal_section
from nesting.units import Unit, read_length

CHOP = Saw(name="chop", kerf=5_080, planes=(Plane.CROSSCUT,), crosscut_guide=Guide.STOP)
TABLE = Saw(
    name="table",
    kerf=5_080,
    planes=(Plane.CROSSCUT, Plane.RIP),
    rip_guide=Guide.FENCE,
    crosscut_guide=Guide.STOP,
)


def inches(text: str) -> int:
    """Return ticks of a size in inches."""
    return read_length(text, Unit.INCH)


BAND = Saw(
    name="band",
    kind="band saw",
    kerf=inches("1/16"),
    planes=(Plane.RESAW,),
    rip_guide=Guide.FENCE,
    tallest=inches("6"),
)


def sold(name: str) -> Stock:
    """Return 8 ft of a section, PS 20's dry dressed size."""
    size = nominal_section(name)
    return Stock(
        id=f"pine {name}",
        material="pine",
        section=name,
        form=Form.STICK,
        length=inches("96"),
        width=size.width,
        thickness=size.thickness,
    )


def blank(name: str, width: str, thickness: str, *sections: str) -> Blank:
    """Return a blank 30 in long that may stay wide and thick."""
    return Blank(
        id=name,
        part=name,
        length=inches("30"),
        width=inches(width),
        thickness=inches(thickness),
        material="pine",
        section=sections[0] if len(sections) == 1 else "",
        sections=sections if len(sections) > 1 else (),
        minimum=True,
        resawn=inches(thickness) + inches("1/16"),
    )


def problem(saws: tuple[Saw, ...], sections: str, *blanks: Blank) -> Problem:
    """Return a problem for one of each blank."""
    return Problem(
        stock=tuple(sold(name) for name in sections.split()),
        needs=tuple(
            Need(
                id=b.id,
                part=b.part,
                quantity=1,
                builds=(Build(id=b.id, takes=(Take(blank=b),)),),
            )
            for b in blanks
        ),
        saws=saws,
    )


def settled(asked: Problem) -> tuple[dict[str, str], dict[str, tuple[str, ...]]]:
    """Return the form by section, and what each blank may come from."""
    done = settle_forms(asked)
    blanks = [need.builds[0].takes[0].blank for need in done.needs]
    return (
        {stock.section: stock.form.value for stock in done.stock},
        {b.id: b.sections or (b.section,) for b in blanks},
    )


def test_without_a_rip_fence_lumber_is_sticks() -> None:
    """The narrowest section as wide as the blank is taken, and nothing is ripped."""
    rail = blank("rail", "3 1/2", "1 1/2", "2x4", "2x6")
    forms, sections = settled(problem((CHOP,), "2x4 2x6", rail))
    assert forms == {"2x4": "stick", "2x6": "stick"}
    assert sections == {"rail": ("2x4",)}


def test_a_choice_of_sections_makes_boards() -> None:
    """Where the shop rips, a 3 1/2 rail may come from a 2x4 or out of a 2x6."""
    rail = blank("rail", "3 1/2", "1 1/2", "2x4", "2x6")
    forms, sections = settled(problem((CHOP, TABLE), "2x4 2x6", rail))
    assert forms == {"2x4": "board", "2x6": "board"}
    assert sections == {"rail": ("2x4", "2x6")}


@pytest.mark.parametrize(
    ("width", "form"), [("3 1/2", "stick"), ("1 11/16", "board"), ("1 3/4", "stick")]
)
def test_two_abreast_make_a_board(width: str, form: str) -> None:
    """Of a 2x4 (3 1/2 in) with a kerf of 1/8, two of 1 11/16 lie side by side."""
    rail = blank("rail", width, "1 1/2", "2x4")
    assert settled(problem((CHOP, TABLE), "2x4", rail))[0] == {"2x4": form}


def test_wood_is_not_planed_away_where_thinner_is_sold() -> None:
    """A 5/8 slat comes from 1x4; from 2x4 only where it is resawn to two."""
    slat = blank("slat", "3 1/2", "5/8", "1x4", "2x4")
    _, sections = settled(problem((CHOP, TABLE), "1x4 2x4", slat))
    assert sections == {"slat": ("1x4",)}
    forms, sections = settled(problem((CHOP, TABLE, BAND), "1x4 2x4", slat))
    assert sections == {"slat": ("1x4", "2x4")}
    assert forms == {"1x4": "board", "2x4": "board"}


def test_a_section_nobody_sells_is_no_choice() -> None:
    """Stock decides; without any, the first section named stays, to be reported."""
    rail = blank("rail", "5", "1 1/2", "2x6", "2x8")
    _, sections = settled(problem((TABLE,), "2x8", rail))
    assert sections == {"rail": ("2x8",)}
    _, sections = settled(problem((TABLE,), "2x4", rail))
    assert sections == {"rail": ("2x6",)}


def test_slices_count_their_kerfs_and_the_reach() -> None:
    """From 1 1/2 with 1/16 kerf: two of 11/16, not of 3/4; none above 6 in wide."""
    slat = blank("slat", "3 1/2", "5/8", "2x4")
    thick = inches("1 1/2")
    assert layers_in(slat, thick, (TABLE, BAND)) == (2, 2)
    assert layers_in(slat, thick, (TABLE,)) == (1, 1)
    wide = replace(slat, width=inches("6 1/4"))
    assert layers_in(wide, thick, (BAND,)) == (1, 1)
    stout = replace(slat, resawn=inches("3/4"))
    assert layers_in(stout, thick, (BAND,)) == (1, 1)
    just = replace(slat, resawn=inches("23/32"))
    assert layers_in(just, thick, (BAND,)) == (2, 2)
    coarse = replace(BAND, name="coarse", kerf=inches("1/8"))
    assert layers_in(just, thick, (BAND, coarse)) == (1, 2)


def test_sections_that_share_a_blank_are_one_group() -> None:
    """A family is found through blanks in any order; the rest stay apart."""
    rail = blank("rail", "3 1/2", "1 1/2", "2x4", "2x6")
    wide = blank("wide", "5", "1 1/2", "2x6", "2x8")
    post = blank("post", "3 1/2", "3 1/2", "4x4")
    found = families([rail, post, wide])
    assert found["pine", "2x4"] == found["pine", "2x8"]
    assert len(found["pine", "2x4"]) == 3
    asked = problem((CHOP, TABLE), "2x4 2x6 2x8 4x4", rail, post, wide)
    boards, posts = group(settle_forms(asked))
    assert boards.sections == ("2x4", "2x6", "2x8")
    assert (boards.section, boards.form) == ("", Form.BOARD)
    assert (posts.section, posts.sections, posts.form) == ("4x4", (), Form.STICK)
    with pytest.raises(ValueError, match="not all boards"):
        group(asked)


def test_a_ripped_rest_is_a_narrow_board_and_no_stick() -> None:
    """It is left alone where nothing is ripped; a resawn one is left alone always."""
    rail = blank("rail", "1 1/2", "1 1/2", "2x4")
    whole = sold("2x4")
    narrow = replace(whole, id="narrow", width=inches("2"), limit=1)
    thin = replace(whole, id="thin", thickness=inches("5/8"), limit=1)
    asked = replace(problem((CHOP, TABLE), "", rail), stock=(narrow, whole, thin))
    done = settle_forms(asked).stock
    assert [(each.form, each.limit) for each in done] == [
        (Form.BOARD, 1),
        (Form.BOARD, None),
        (Form.BOARD, 0),
    ]
    done = settle_forms(replace(asked, saws=(CHOP,))).stock
    assert [each.limit for each in done] == [0, None, 0]
