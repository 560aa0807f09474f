"""What moves across the grain between the seasons, and what will not take it.

Wood Handbook, chapter 13: width x coefficient x change of moisture, with the flatsawn
coefficient, or the quartersawn one where strips stand on edge. Wood is taken to be at
the shop's 8 % when it is cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from nesting.milling.joints import addition, full_size
from nesting.milling.want import Mill
from nesting.model.blank import Need
from nesting.model.job import Material, MaterialKind, Part
from nesting.model.mill import BuildKind, Climate, JointKind
from nesting.model.plan import Movement
from nesting.trade.defaults import FIGURES
from nesting.trade.movement import (
    celsius,
    dried_size,
    equilibrium_moisture,
    seasonal_change,
)
from nesting.trade.species import SPECIES
from nesting.units import Ticks

UNKNOWN = "southern pine"
_UNKNOWN_COEFFICIENT = Fraction("0.00265")  # flatsawn, an extension service
_ROOM = celsius(70)
_SHOP = float(FIGURES["shop_moisture_target"].value)
_DRIEST, _WETTEST = 8, 19
"""Percent between which lumber is known to shrink further (FPL-RP-489)."""
_FIXED = (JointKind.TENON, JointKind.THROUGH_TENON, JointKind.TONGUE, JointKind.LAP)


def movements(
    parts: Iterable[Part],
    materials: Iterable[Material],
    needs: Iterable[Need],
    climate: Climate,
    mill: Mill,
) -> tuple[tuple[Movement, ...], tuple[str, ...]]:
    """Return what moves, and a sentence for each part or material that must be minded.

    Parameters
    ----------
    parts, materials
        Of the job.
    needs
        With the build that was chosen, alone.
    climate
        Between what humidity the furniture will live.
    mill
        Its allowances say what room a panel has.

    Returns
    -------
    tuple of Movement, tuple of str
        Of glued-up parts and of panels in grooves.
    """
    by_name = {material.name: material for material in materials}
    builds = {need.part: need.builds[0].kind for need in needs}
    dry = equilibrium_moisture(_ROOM, climate.dry)
    humid = equilibrium_moisture(_ROOM, climate.humid)
    found: list[Movement] = []
    said: list[str] = []
    for part in parts:
        material = by_name[part.material]
        if material.kind is MaterialKind.SHEET or part.width is None:
            continue
        glued = builds[part.name] in (BuildKind.EDGE_GLUED, BuildKind.ON_EDGE)
        panel = any(joint.kind is JointKind.PANEL for joint in part.joints)
        if not glued and not panel:
            continue
        _, wide = full_size(part, mill.allowances, is_sheet=False)
        assert wide is not None
        coefficient = _coefficient(material, builds[part.name])
        change = round(seasonal_change(wide, coefficient, dry, humid))
        found.append(
            Movement(
                part=part.name,
                species=material.species or UNKNOWN,
                width=wide,
                change=change,
            )
        )
        swells = seasonal_change(wide, coefficient, _SHOP, max(humid, _SHOP))
        shrinks = -seasonal_change(wide, coefficient, _SHOP, min(dry, _SHOP))
        said += _panel(part, swells, shrinks, mill)
        if glued and not panel:
            said += _held(part, change, mill)
    return tuple(found), (*said, *_drying(by_name.values(), mill))


def _coefficient(material: Material, build: BuildKind) -> Fraction:
    species = SPECIES.get(material.species)
    if species is None:
        return _UNKNOWN_COEFFICIENT
    return species.quartersawn if build is BuildKind.ON_EDGE else species.flatsawn


def _panel(part: Part, swells: float, shrinks: float, mill: Mill) -> Iterator[str]:
    """Say where a groove has too little room for its panel, or too little depth."""
    for joint in part.joints:
        edges = sum(not side.is_end for side in joint.sides)
        if joint.kind is not JointKind.PANEL or not edges:
            continue
        inside = addition(joint, mill.allowances, is_sheet=False)
        room = edges * (joint.depth - inside)
        if swells > room:
            yield (
                f"{part.name} may swell {mill.write(round(swells))} across, and its "
                f"grooves leave {mill.write(room)}: make it narrower or of plywood"
            )
        if shrinks > edges * inside:
            yield (
                f"{part.name} may shrink {mill.write(round(shrinks))} across, and "
                f"stands only {mill.write(inside)} in its grooves: make them deeper"
            )


def _held(part: Part, change: Ticks, mill: Mill) -> Iterator[str]:
    """Say how a glued-up part moves, and what must not hold it."""
    fixed = [j for j in part.joints if j.kind in _FIXED and j.sides[0].is_end]
    words = f"{part.name} moves {mill.write(change)} across between the seasons"
    if fixed:
        yield (
            f"{words}, and a {fixed[0].kind} on its end holds it over its whole width: "
            "glue the middle only and let the rest slide"
        )
    else:
        yield f"{words}: fix it so that it can (buttons, slotted holes)"


def _drying(materials: Iterable[Material], mill: Mill) -> Iterator[str]:
    """Say what lumber that is bought moist will measure when it is dry."""
    for material in materials:
        moisture = material.moisture
        if moisture is None or moisture <= _DRIEST or not material.sections:
            continue
        widest = max(material.sections, key=lambda s: (s.width, s.thickness))
        known = min(moisture, _WETTEST)
        wide = dried_size(widest.width, known, _DRIEST, is_width=True)
        thick = dried_size(widest.thickness, known, _DRIEST, is_width=False)
        yield (
            f"{material.name} at {moisture} % of moisture is not dry for furniture: a "
            f"{widest.name} of {mill.write(widest.thickness)} x "
            f"{mill.write(widest.width)} measures about {mill.write(round(thick))} x "
            f"{mill.write(round(wide))} at {_DRIEST} %; let it dry, then measure, and "
            "plan again with what you measure"
        )
