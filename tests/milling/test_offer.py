"""Finished parts become blanks: allowances, grain, sections, refusals."""

from __future__ import annotations

import pytest

from nesting.errors import InputError
from nesting.milling import Mill, offer
from nesting.model.blank import Blank
from nesting.model.job import Allowance, Material, MaterialKind, Part, Section
from nesting.model.mill import Allowances, Jointer, Planer
from nesting.model.stock import Stock
from nesting.model.terms import Form, Grain
from nesting.trade.lumber import nominal_section
from nesting.units import Display, Unit, read_length

MILL = Mill(
    saws=(),
    allowances=Allowances(),
    jointer=Jointer(),
    planer=Planer(),
    display=Display(unit=Unit.INCH),
)


def inches(text: str) -> int:
    """Return ticks of a size in inches."""
    return read_length(text, Unit.INCH)


def sheet_good(**more: object) -> Material:
    """Return half-inch plywood, measured a little thin."""
    stock = Stock(
        id="ply 96 x 48",
        material="ply",
        form=Form.SHEET,
        length=inches("96"),
        width=inches("48"),
        thickness=inches("15/32"),
    )
    return Material(
        name="ply",
        kind=MaterialKind.SHEET,
        thickness=inches("15/32"),
        stock=(stock,),
        **more,  # type: ignore[arg-type]
    )


def pine(*names: str) -> Material:
    """Return a lumber family with sections by their PS 20 names."""
    sections = tuple(
        Section(name=name, thickness=s.thickness, width=s.width)
        for name, s in ((name, nominal_section(name)) for name in names)
    )
    stock = tuple(
        Stock(
            id=f"pine {s.name} x 96",
            material="pine",
            section=s.name,
            form=Form.STICK,
            length=inches("96"),
            width=s.width,
            thickness=s.thickness,
        )
        for s in sections
    )
    return Material(
        name="pine", kind=MaterialKind.LUMBER, sections=sections, stock=stock
    )


def part(name: str = "rail", material: str = "ply", **more: object) -> Part:
    """Return a part 30 x 4 with whatever else is given."""
    given: dict[str, object] = {
        "quantity": 2,
        "length": inches("30"),
        "width": inches("4"),
        "thickness": None,
        **more,
    }
    return Part(name=name, material=material, **given)  # type: ignore[arg-type]


def only_blank(piece: Part, material: Material) -> Blank:
    """Return the blank that milling makes of one part."""
    (need,) = offer([piece], [material], MILL).needs
    (build,) = need.builds
    (take,) = build.takes
    assert need.quantity == piece.quantity
    assert take.count == 1
    return take.blank


def test_a_sheet_part_is_its_own_blank() -> None:
    """Without allowances the blank has the part's size and the sheet's thickness."""
    blank = only_blank(part(), sheet_good())
    assert (blank.length, blank.width) == (inches("30"), inches("4"))
    assert blank.thickness == inches("15/32")
    assert blank.grain is Grain.LENGTH
    assert not blank.minimum


def test_grain_across_the_part_swaps_its_sides() -> None:
    """A part whose grain runs across is cut as a blank with its width along it."""
    blank = only_blank(part(grain=Grain.WIDTH), sheet_good())
    assert (blank.length, blank.width) == (inches("4"), inches("30"))
    assert blank.grain is Grain.LENGTH


@pytest.mark.parametrize(
    ("grain", "has_grain", "expected"),
    [
        (Grain.LENGTH, True, Grain.LENGTH),
        (Grain.ANY, True, Grain.ANY),
        # on MDF and the like nothing is bound
        (Grain.LENGTH, False, Grain.ANY),
    ],
)
def test_grain_binds_only_where_the_material_has_any(
    grain: Grain, has_grain: bool, expected: Grain
) -> None:
    """The blank may turn when the part or the material says so."""
    blank = only_blank(part(grain=grain), sheet_good(has_grain=has_grain))
    assert blank.grain is expected


def test_a_parts_allowance_goes_before_its_materials() -> None:
    """The material's allowance serves wherever a part gives none of its own."""
    material = sheet_good(allowance=Allowance(length=inches("1/2")))
    assert only_blank(part(), material).length == inches("30 1/2")
    own = part(allowance=Allowance(width=inches("1/8")))
    blank = only_blank(own, material)
    assert (blank.length, blank.width) == (inches("30 1/2"), inches("4 1/8"))


@pytest.mark.parametrize("thickness", ["1/2", "3/8"])
def test_a_part_of_another_thickness_than_its_sheet_is_a_fault(thickness: str) -> None:
    """Neither a thicker nor a thinner part comes out of a sheet; never silently."""
    with pytest.raises(InputError, match="leave the thickness empty"):
        offer([part(thickness=inches(thickness))], [sheet_good()], MILL)


def test_every_fault_is_reported_not_only_the_first() -> None:
    """Three bad parts give three faults, each with its row and column."""
    wrong = [
        part("one", thickness=inches("1"), line=2),
        part("two", "oak", line=3),
        part("three", "pine", thickness=inches("4"), line=4),
        part("good", line=5),
    ]
    with pytest.raises(InputError) as caught:
        offer(wrong, [sheet_good(), pine("2x4")], MILL)
    faults = caught.value.faults
    assert [(fault.line, fault.field) for fault in faults] == [
        (2, "thickness"),
        (3, "material"),
        (4, "thickness"),
    ]
    assert "'three'" in faults[2].what


def test_lumber_of_the_parts_thickness_is_used_as_bought() -> None:
    """A 1 1/2 x 3 1/2 part comes from a 2x4 (PS 20) without planing, and says so."""
    offered = offer(
        [
            part(
                material="pine",
                width=inches("3 1/2"),
                thickness=inches("1 1/2"),
            )
        ],
        [pine("2x4", "2x6")],
        MILL,
    )
    blank = offered.needs[0].builds[0].takes[0].blank
    assert blank.sections == ("2x4", "2x6")
    assert not blank.minimum
    assert blank.resawn is None
    assert len(offered.warnings) == 1
    assert "no planing" in offered.warnings[0]


def test_a_section_can_be_pinned() -> None:
    """A part that names its section takes the sizes it leaves out from it."""
    blank = only_blank(
        part(material="pine", section="2x6", width=None), pine("2x4", "2x6")
    )
    assert (blank.width, blank.thickness) == (inches("5 1/2"), inches("1 1/2"))


def test_a_thinner_part_leaves_planing_to_the_bench() -> None:
    """A 1 1/4 part from a 1 1/2 section is a minimum blank.

    It has the rough allowances, 1 in and 1/4 in; a slice that is sawn for it has 1/16
    for the sawn face and half of the jointed face's 1/16 (common practice).
    """
    offered = offer(
        [part(material="pine", width=inches("3"), thickness=inches("1 1/4"))],
        [pine("2x4")],
        MILL,
    )
    blank = offered.needs[0].builds[0].takes[0].blank
    assert blank.minimum
    assert blank.resawn == inches("1 11/32")
    assert (blank.length, blank.width) == (inches("31"), inches("3 1/4"))
    assert offered.warnings == ()


def test_all_sections_that_hold_a_part_are_offered() -> None:
    """A 4 in wide part comes from a 2x6 or a 2x10; no thicker stock where one is just
    as thick."""
    piece = part(material="pine", thickness=inches("1 1/2"))
    blank = only_blank(piece, pine("2x10", "2x4", "2x6"))
    assert (blank.section, blank.sections) == ("", ("2x6", "2x10"))
    piece = part(material="pine", thickness=inches("3/4"))
    blank = only_blank(piece, pine("2x10", "1x4", "1x6", "2x6"))
    assert blank.section == "1x6"


@pytest.mark.parametrize(
    ("piece", "column"),
    [
        (part(material="pine", width=inches("12"), thickness=inches("6")), "thickness"),
        (part(material="pine", width=None, thickness=inches("1 1/2")), "width"),
        (part(material="pine", section="2x8"), "section"),
        (part(material="pine", grain=Grain.WIDTH), "grain"),
    ],
)
def test_lumber_that_cannot_be_is_refused(piece: Part, column: str) -> None:
    """Too wide, without a width, of an unknown section, or grain across: a fault."""
    with pytest.raises(InputError) as caught:
        offer([piece], [pine("2x4", "2x6")], MILL)
    (fault,) = caught.value.faults
    assert fault.field == column
    assert fault.remedy


def test_a_part_across_is_turned_even_where_nobody_sees_its_grain() -> None:
    """A run across the grain goes by the blank's width, whatever the material."""
    blank = only_blank(part(grain=Grain.WIDTH), sheet_good(has_grain=False))
    assert (blank.length, blank.width) == (inches("4"), inches("30"))
    assert blank.grain is Grain.ANY
