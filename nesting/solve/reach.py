"""Which saw can make which cut, on a piece as it is at that moment.

A saw offers a `Way` for each plane it cuts and each guide it can set the distance with.
A way is open to a cut when the cut is no longer than the saw reaches and, against a
fence, the wanted piece is no wider than the fence opens and no narrower than the maker
lets pass between fence and blade. On the fence, whatever the plane, the edge that runs
along it must be at least as long as the distance, or the piece may turn: anything
shorter goes on a sled or to another saw (common practice). To be resawn a piece stands
on its edge, so that it is its width that the blade must reach through.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from nesting.model.shop import Saw
from nesting.model.terms import Form, Guide, Place, Plane
from nesting.units import Ticks

BAND_SAW = "band saw"


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One saw, one plane, one guide, and the reach that goes with them."""

    saw: Saw
    plane: Plane
    guide: Guide
    longest_run: Ticks | None
    """The longest cut; None for no limit."""
    largest_measure: Ticks | None
    """The largest distance of the guide; None for no limit."""
    run_covers_measure: bool = False
    """Whether the run must be at least the distance, as on a fence."""
    smallest_measure: Ticks = 0
    """The least distance of the guide."""
    tallest: Ticks | None = None
    """The widest piece that stands under the blade to be resawn; None for no limit."""

    @property
    def kerf(self) -> Ticks:
        """The kerf of the saw."""
        return self.saw.kerf

    def makes(self, run: Ticks, measure: Ticks) -> bool:
        """Tell whether the saw makes a cut `run` long at a distance `measure`."""
        return (
            (self.longest_run is None or run <= self.longest_run)
            and (self.largest_measure is None or measure <= self.largest_measure)
            and (not self.run_covers_measure or run >= measure)
            and measure >= self.smallest_measure
        )

    def stands(self, width: Ticks) -> bool:
        """Tell whether a piece so wide goes under the blade, on edge for a resaw."""
        return self.tallest is None or width <= self.tallest


def _least(*limits: Ticks | None) -> Ticks | None:
    known = [limit for limit in limits if limit is not None]
    return min(known) if known else None


def _ways_of(saw: Saw, plane: Plane, form: Form) -> list[Way]:
    """List the ways of one saw: on its fence, against its stop, along a line."""
    fence = Way(
        saw=saw,
        plane=plane,
        guide=Guide.FENCE,
        longest_run=saw.longest_cut,
        largest_measure=saw.widest_rip,
        run_covers_measure=True,
        smallest_measure=saw.narrowest_rip or 0,
    )
    if plane is Plane.RESAW:
        return [replace(fence, tallest=saw.tallest)] if form is Form.BOARD else []
    across = Way(
        saw=saw,
        plane=plane,
        guide=saw.crosscut_guide,
        longest_run=_least(saw.longest_cut, saw.widest_crosscut),
        largest_measure=None,
    )
    fenced = saw.rip_guide is Guide.FENCE and Plane.RIP in saw.planes
    sled = saw.crosscut_guide is Guide.STOP and Plane.CROSSCUT in saw.planes
    if plane is Plane.RIP:
        if fenced:
            # A short piece is turned and cut on the sled, where the fence is no place.
            return [fence, across] if sled else [fence]
        along = replace(across, guide=saw.rip_guide, longest_run=saw.longest_cut)
        return [along] if form is Form.SHEET else []
    ways = [fence] if form is Form.SHEET and fenced else []
    return ways if saw.crosscut_guide is Guide.FENCE else [*ways, across]


def ways_to_cut(
    saws: Sequence[Saw], form: Form, thickness: Ticks, *, rough: Ticks | None = None
) -> tuple[Way, ...]:
    """List every way in which these saws cut stock of a form.

    Parameters
    ----------
    saws
        In the order of the maker's liking. Those at the store are left out, unless
        every one stands there: they only make what is bought fit to be carried home.
    form
        For anything but a sheet, saws that only crosscut come first for crosscuts, the
        fence is never a length stop, and a rip needs a fence: a rail lies badly on
        narrow lumber. Only boards are resawn, at a band saw first, against a fence. A
        band saw cuts no sheets (all common practice).
    thickness
        In ticks; saws that do not cut through it are left out.
    rough
        The longest piece of lumber that is ripped, in ticks; None for any.

    Returns
    -------
    tuple of Way
        In the order in which they are to be tried.
    """
    home = [saw for saw in saws if saw.place is Place.SHOP] or saws
    able = [saw for saw in home if saw.tallest is None or thickness <= saw.tallest]
    if form is Form.SHEET:
        able = [saw for saw in able if saw.kind != BAND_SAW]
    else:
        able.sort(key=lambda saw: Plane.RIP in saw.planes)
    bands_first = sorted(able, key=lambda saw: saw.kind != BAND_SAW)
    ways = (
        way
        for plane in (Plane.CROSSCUT, Plane.RIP, Plane.RESAW)
        for saw in (bands_first if plane is Plane.RESAW else able)
        if plane in saw.planes
        for way in _ways_of(saw, plane, form)
    )
    if rough is None or form is Form.SHEET:
        return tuple(ways)
    return tuple(
        replace(way, longest_run=_least(way.longest_run, rough))
        if way.plane is Plane.RIP
        else way
        for way in ways
    )


def store_way(saw: Saw, plane: Plane, thickness: Ticks) -> Way | None:
    """Return how the saw of a store cuts in a plane, along a line; None if it cannot.

    Parameters
    ----------
    saw
        The store's.
    plane
        A crosscut or a rip.
    thickness
        Of the stock, in ticks.
    """
    if plane not in saw.planes or (saw.tallest is not None and thickness > saw.tallest):
        return None
    widest = saw.widest_crosscut if plane is Plane.CROSSCUT else None
    return Way(
        saw=saw,
        plane=plane,
        guide=Guide.LINE,
        longest_run=_least(saw.longest_cut, widest),
        largest_measure=saw.widest_rip if plane is Plane.RIP else None,
    )


def first_way(
    ways: Sequence[Way],
    plane: Plane,
    run: Ticks,
    measure: Ticks,
    *,
    standing: Ticks = 0,
) -> Way | None:
    """Return the first way open to a cut, or None where no saw makes it.

    Parameters
    ----------
    ways
        In the order in which they are to be tried.
    plane, run, measure
        Of the cut; `run` and `measure` in ticks.
    standing
        For a resaw, the width of the piece, which stands on its edge.
    """
    for way in ways:
        if way.plane is plane and way.makes(run, measure) and way.stands(standing):
            return way
    return None


def kerfs(ways: Sequence[Way], plane: Plane) -> tuple[Ticks, Ticks] | None:
    """Return the narrowest and widest kerf in a plane; None where nothing cuts."""
    found = [way.kerf for way in ways if way.plane is plane]
    return (min(found), max(found)) if found else None


def narrowest_kerfs(
    saws: Sequence[Saw], form: Form, thickness: Ticks
) -> tuple[Ticks, Ticks]:
    """Return the narrowest kerf of a crosscut and of a rip by any saw that might do it.

    A certificate reckons with it, for whoever checks it knows no guides: any saw might
    make any cut of its planes, but for a band saw, which cuts no sheets. It is 0 in a
    plane in which nothing cuts.
    """
    able = [
        saw
        for saw in saws
        if (saw.tallest is None or thickness <= saw.tallest)
        and not (form is Form.SHEET and saw.kind == BAND_SAW)
    ]
    across, along = (
        min((saw.kerf for saw in able if plane in saw.planes), default=0)
        for plane in (Plane.CROSSCUT, Plane.RIP)
    )
    return across, along
