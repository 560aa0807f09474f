"""Resawn boards: strips whole on the face, slices by themselves, nothing left out."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from nesting.model.plan import Cut, Layout, Piece, Plan, PlanBlank, PlanStock
from nesting.render import LETTER, compose
from nesting.render.groups import Group, group_layouts
from nesting.render.scene import Scene, Text
from nesting.render.slices import (
    end_view,
    is_resawn,
    resaw_words,
    slice_parts,
    slice_words,
    without_slices,
)
from nesting.render.wording import Wording, read_wording

INCH = 40_640
KERF = INCH // 8
AXES = {"crosscut": ("x", "length"), "rip": ("y", "width"), "resaw": ("z", "thickness")}
SAW_OF = {"crosscut": "miter saw", "rip": "table saw", "resaw": "band saw"}


def ticks(inches: str) -> int:
    """Return a mixed number of inches in ticks."""
    whole, _, part = inches.rpartition(" ")
    top, _, bottom = part.partition("/")
    return int(whole or 0) * INCH + int(top) * INCH // int(bottom or 1)


def board(name: str, first: int, *cuts: tuple[str, str, str, str]) -> Layout:
    """Return a 2x6 of 6 ft: what is cut, how, where, and what near and far become.

    A piece is named after what it comes from, ``a`` (near) or ``b`` (far) behind its
    name; ``-`` stands for what is cut again, ``.`` for what is not made.
    """
    size = {"length": ticks("72"), "width": ticks("5 1/2"), "thickness": ticks("1 1/2")}
    pieces = {name: Piece(id=name, x=0, y=0, fate="cut", **size)}
    done = []
    for step, (of, plane, where, fates) in enumerate(cuts, first):
        whole, at = pieces[name + of], ticks(where)
        start, along = AXES[plane]
        extent = getattr(whole, along)
        made = []
        for letter, begin, much, fate in (
            ("a", 0, at, fates.split()[0]),
            ("b", at + KERF, extent - at - KERF, fates.split()[1]),
        ):
            if much <= 0:
                continue
            made.append(f"{whole.id}{letter}")
            pieces[made[-1]] = replace(
                whole,
                id=made[-1],
                **{start: getattr(whole, start) + begin, along: much},
                fate={"-": "cut", "scrap": "scrap", "keep": "offcut"}.get(fate, "part"),
                blank=None if fate in ("-", "scrap", "keep") else fate,
            )
        done.append(
            Cut(
                step=step,
                piece=whole.id,
                plane=plane,
                at=at,
                kerf=min(KERF, extent - at),
                saw=SAW_OF[plane],
                makes=tuple(made),
                setting=f"{plane} {where}",
                measure=at,
                guide="stop" if plane == "crosscut" else "fence",
            )
        )
    stock = PlanStock(name="ash 2x6", **size, grain="length", origin="store")
    return Layout(
        id=name,
        material="ash",
        section="2x6",
        form="board",
        stock=stock,
        pieces=tuple(pieces.values()),
        cuts=tuple(done),
    )


CUTS = (
    ("", "crosscut", "30", "- -"),
    ("a", "rip", "3 1/2", "- -"),
    # two slices of 5/8 that are cut alike, and just the kerf between them and the end
    ("aa", "resaw", "5/8", "- -"),
    ("aab", "resaw", "5/8", "- scrap"),
    ("aaa", "crosscut", "14", "slat slat"),
    ("aaba", "crosscut", "14", "slat slat"),
    # one slice that is a part as it is, and a rest above it
    ("ab", "resaw", "1/2", "cleat keep"),
    ("b", "crosscut", "20", "rail keep"),
)
BLANKS = {
    "slat": ("14", "3 1/2", "5/8"),
    "cleat": ("30", "1 7/8", "1/2"),
    "rail": ("20", "5 1/2", "1 1/2"),
}


@pytest.fixture(scope="module")
def resawn(bench: Plan) -> Plan:
    """Return two boards alike, each with two strips that are resawn."""
    return replace(
        bench,
        layouts=(board("A", 1, *CUTS), board("B", 9, *CUTS)),
        blanks=tuple(
            PlanBlank(
                id=name,
                parts=(name,),
                role="",
                qty=1,
                length=ticks(size[0]),
                width=ticks(size[1]),
                thickness=ticks(size[2]),
                material="ash",
                section="2x6",
                grain="length",
            )
            for name, size in BLANKS.items()
        ),
        runs=(),
        unplaced=(),
        parts=(),
    )


@pytest.fixture(scope="module")
def group(resawn: Plan) -> Group:
    """Return the two boards together."""
    (both,) = group_layouts(resawn.layouts)
    return both


@pytest.fixture(scope="module")
def wording(resawn: Plan) -> Wording:
    """Return the words of the plan."""
    return read_wording(resawn)


@pytest.fixture(scope="module")
def scenes(resawn: Plan) -> tuple[Scene, ...]:
    """Return the pages of the plan."""
    return compose(resawn, LETTER)


def test_the_face_has_its_strips_whole(group: Group) -> None:
    """What is resawn is one piece with a name; no cut of a slice is left on it."""
    face, strips = without_slices(group)
    assert is_resawn(group.layout)
    assert not is_resawn(face.layout)
    left = {
        piece.id: piece.blank for piece in face.layout.pieces if piece.fate != "cut"
    }
    assert left == {
        "Aaa": "R1, resawn",
        "Aab": "R2, resawn",
        "Aba": "rail",
        "Abb": None,
    }
    assert [cut.step for cut in face.layout.cuts] == [1, 2, 8]
    assert face.steps == {1: (1, 9), 2: (2, 10), 8: (8, 16)}
    assert [strip.name for strip in strips] == ["R1", "R2"]


def test_slices_cut_alike_are_drawn_once_with_the_steps_of_all(group: Group) -> None:
    """Two slices in each of two boards: four pieces of one drawing."""
    _, (first, second) = without_slices(group)
    (both,) = first.views
    assert both.numbers == (1, 2)
    assert both.group.steps == {5: (5, 6, 13, 14)}
    whole = both.group.layout
    assert (whole.stock.length, whole.stock.thickness) == (30 * INCH, 5 * INCH // 8)
    assert all((p.y, p.z) == (0, 0) for p in whole.pieces)
    assert second.views == ()  # the cleat is not cut again
    assert [piece.fate for piece in second.slices] == ["part", "offcut"]


def test_a_strip_says_where_it_is_from_and_how_it_is_set(
    group: Group, wording: Wording
) -> None:
    """Saw, fence, face and steps of all copies; slices say how thick they are."""
    _, (first, second) = without_slices(group)
    words = resaw_words(first, group.layout, wording).replace("\N{NO-BREAK SPACE}", " ")
    assert words == (
        "R1, strip 30 × 3 1/2 (step 2), resawn: band saw, fence 5/8, lower face on it, "
        "steps 3, 4, 11, 12. Seen from the end:"
    )
    words = slice_words(first.views[0], first, wording)
    assert words.endswith("thick, cut alike; 5… is 5, 6, 13, 14")
    parts = slice_parts(second, wording).replace("\N{NO-BREAK SPACE}", " ")
    assert parts == "R2 = 1 × cleat 30 × 1 7/8 × 1/2"


def test_the_end_view_tells_every_slice_and_rest(
    group: Group, wording: Wording
) -> None:
    """From below: two slices and a little scrap; or a slice and a rest to keep."""
    _, strips = without_slices(group)
    told = [
        [
            item.words.replace("\N{NO-BREAK SPACE}", " ")
            for item in end_view(strip, wording).items
            if isinstance(item, Text) and not item.about.startswith("cut:")
        ]
        for strip in strips
    ]
    assert told == [
        ["slice 1: 5/8", "slice 2: 5/8"],
        ["slice 1: 1/2, cleat", "keep 7/8"],
    ]


def test_every_part_and_every_cut_of_a_board_is_on_its_pages(
    scenes: tuple[Scene, ...], resawn: Plan
) -> None:
    """Of slices that are cut alike one is drawn; rings and captions tell all steps."""
    texts = [text for scene in scenes for text in scene.texts]
    labels = {text.about for text in texts}
    for piece in resawn.layouts[0].pieces:
        if piece.fate == "part" and not piece.id.startswith("Aaaba"):
            assert f"label:{piece.id}" in labels
    told = [text.words for text in texts if text.about.startswith("cut:")]
    told += [t.words.partition("… is ")[2] for t in texts if t.about == "layer"]
    steps: set[int] = set()
    for words in told:
        for low, high in re.findall(r"(\d+)(?:–(\d+))?", words):
            steps.update(range(int(low), int(high or low) + 1))
    assert steps >= set(range(1, 17))


def test_the_cut_list_names_strips_slices_and_thicknesses(
    resawn: Plan, wording: Wording
) -> None:
    """A strip is what a rip was made for, a slice says how thick it is."""
    layout = resawn.layouts[0]
    cuts = {cut.step: cut for cut in layout.cuts}
    said = {
        step: [
            words.replace("\N{NO-BREAK SPACE}", " ")
            for words in wording.makes(layout, cuts[step])
        ]
        for step in (1, 2, 3, 5)
    }
    assert said == {
        1: ["section 30 × 5 1/2", "rest"],
        2: ["strip 30 × 3 1/2", "rest"],
        3: ["slice 30 × 3 1/2 × 5/8", "rest"],
        5: ["slat 14 × 3 1/2 × 5/8", "slat 15 7/8 × 3 1/2 × 5/8"],
    }


def test_strips_resawn_alike_are_drawn_once(bench: Plan, wording: Wording) -> None:
    """Two strips of one board, each resawn to two laths: one end view, all steps."""
    twins = board(
        "A",
        1,
        ("", "rip", "1", "- -"),
        ("b", "rip", "1", "- keep"),
        ("a", "resaw", "5/8", "lath lath"),
        ("ba", "resaw", "5/8", "lath lath"),
    )
    plan = replace(bench, layouts=(twins,), blanks=(), runs=(), parts=(), unplaced=())
    (group,) = group_layouts(plan.layouts)
    face, (only,) = without_slices(group)
    assert (only.name, only.count, only.views) == ("R1", 2, ())
    named = [piece.id for piece in face.layout.pieces if piece.blank == "R1, resawn"]
    assert named == ["Aa", "Aba"]
    words = resaw_words(only, twins, read_wording(plan))
    assert words.startswith("R1, 2 × 72 × 1, resawn")
    assert "steps 3, 4" in words
