"""Sheets cut up by levels of cuts from edge to edge."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from made_jobs.draft import TRIMS, Draft, grouped, supplied
from nesting.model.job import Allowance, Material, MaterialKind, Part
from nesting.model.stock import Edges, Stock, Zone
from nesting.model.terms import Flow, Form, Grain, Plane
from nesting.units import TICKS_PER_MM as MM
from nesting.units import Ticks, Unit

_SHEETS = {
    Unit.MM: [(2440, 1220), (2500, 1250), (2800, 2070), (1525, 1525), (1220, 610)],
    Unit.INCH: [(96, 48), (97, 49), (120, 60), (60, 60), (48, 24)],
}
_THICK: dict[Unit, list[float]] = {
    Unit.MM: [6, 9, 12, 15, 18],
    Unit.INCH: [0.25, 0.5, 0.75],
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """Like pieces side by side, a kerf apart."""

    size: tuple[Ticks, Ticks]
    count: int
    axis: int
    """Along which they lie: 0 for x."""


def add_sheets(draft: Draft, number: int) -> None:
    rng = draft.rng
    scale = draft.scale
    name = f"{rng.choice(['birch', 'beech', 'grey', 'white'])} panel {number + 1}"
    sizes = [
        (length, width)
        for length, width in _SHEETS[draft.unit]
        if draft.rail is None or width * scale <= draft.rail
    ]
    sizes = rng.sample(sizes, k=rng.randint(1, 3))
    grain = rng.choice([Grain.LENGTH, Grain.LENGTH, Grain.WIDTH, Grain.ANY])
    thickness = round(rng.choice(_THICK[draft.unit]) * scale)
    trim = _trim(draft, scale)
    offers = [
        Stock(
            id=f"{name} {length} x {width}",
            material=name,
            form=Form.SHEET,
            length=length * scale,
            width=width * scale,
            thickness=thickness,
            grain=Grain.LENGTH if grain is Grain.ANY else grain,
            trim=trim,
            price_cents=length * width * scale * scale // (MM * MM * 500)
            + rng.randint(0, 500),
        )
        for length, width in sizes
    ]
    used: Counter[str] = Counter()
    pieces: list[tuple[Ticks, Ticks]] = []
    runs: list[_Row] = []
    while not (pieces or runs) or (len(pieces) < draft.left and sum(used.values()) < 4):
        stock = rng.choice(offers)
        used[stock.id] += 1
        usable = (stock.usable_length, stock.usable_width)
        plane = rng.choice([Plane.CROSSCUT, Plane.RIP])
        if draft.rail is not None and stock.length > draft.rail:
            plane = Plane.CROSSCUT  # no rail goes along it
        rows: list[_Row] = []
        cut = list(_cut_up(draft, usable, plane, rng.randint(1, 4), rows))
        rng.shuffle(cut)
        wanted = [piece for piece in cut if rng.random() < draft.fill]
        if not wanted and not rows:
            wanted = cut[:1]
        pieces += wanted[: max(1, draft.left - len(pieces))]
        runs += rows
    offers += _damaged(draft, offers)
    extra_length = extra_width = 0
    if rng.random() < 0.2:
        extra_length, extra_width = 4 * draft.grid, 2 * draft.grid
    draft.materials.append(
        Material(
            name=name,
            kind=MaterialKind.SHEET,
            thickness=thickness,
            has_grain=grain is not Grain.ANY,
            allowance=Allowance(length=extra_length, width=extra_width),
            stock=supplied(draft, offers, used),
        )
    )
    for row in runs:
        _add_run(draft, row, draft.materials[-1])
    for (x, y), quantity in grouped(draft, pieces).items():
        along, across = (x, y) if offers[0].grain is Grain.LENGTH else (y, x)
        runs = rng.choice([Grain.LENGTH, Grain.LENGTH, Grain.WIDTH, Grain.ANY])
        length, width = (across, along) if runs is Grain.WIDTH else (along, across)
        if (runs is Grain.ANY or grain is Grain.ANY) and rng.random() < 0.5:
            length, width = width, length
        draft.parts.append(
            Part(
                name=draft.named(),
                quantity=quantity,
                material=name,
                length=length - extra_length,
                width=width - extra_width,
                thickness=rng.choice([None, thickness]),
                grain=runs,
                note=rng.choice(["", 'see "sketch", upper half']),
            )
        )


def _damaged(draft: Draft, offers: list[Stock]) -> list[Stock]:
    """Return a sheet with some damage that may be used, too, or none."""
    rng = draft.rng
    if rng.random() < 0.6:
        return []
    like = rng.choice(offers)
    zones = []
    for _ in range(rng.choice([1, 1, 2, 3, 6])):
        length = draft.snapped(draft.grid, like.length // 3)
        width = draft.snapped(draft.grid, like.width // 3)
        zones.append(
            Zone(
                x=rng.choice([0, draft.snapped(draft.grid, like.length - length)]),
                y=rng.choice([0, draft.snapped(draft.grid, like.width - width)]),
                length=length,
                width=width,
            )
        )
    price = (like.price_cents or 0) * rng.choice([1, 2, 5]) // 5
    return [
        replace(like, id=f"{like.id} dented", zones=tuple(zones), price_cents=price)
    ]


def _add_run(draft: Draft, row: _Row, material: Material) -> None:
    """Make parts of a row of pieces, one a little shorter along the row now and then.

    Where their grain does not matter they may be named the other way round.
    """
    rng = draft.rng
    name = f"run {sum(bool(part.match) for part in draft.parts) + 1}"
    along_x = material.stock[0].grain is Grain.LENGTH
    free = not material.has_grain
    grain = rng.choice([Grain.LENGTH, Grain.WIDTH, Grain.ANY])
    swapped = (free or grain is Grain.ANY) and rng.random() < 0.5
    ends = (row.axis == 0) == (along_x is not swapped)
    left = row.count
    while left:
        quantity = rng.randint(1, left)
        left -= quantity
        size = list(row.size)
        if rng.random() < 0.3:
            size[row.axis] = draft.snapped(40 * MM, size[row.axis])
        along, across = size if along_x is not swapped else reversed(size)
        if grain is Grain.WIDTH:
            along, across = across, along
        draft.parts.append(
            Part(
                name=draft.named(),
                quantity=quantity,
                material=material.name,
                length=along - (material.allowance.length or 0),
                width=across - (material.allowance.width or 0),
                thickness=None,
                grain=grain,
                match=name,
                flow=Flow.ALONG if ends else rng.choice([None, Flow.ACROSS]),
            )
        )


def _cut_up(
    draft: Draft,
    size: tuple[Ticks, Ticks],
    plane: Plane,
    levels: int,
    rows: list[_Row],
) -> Iterator[tuple[Ticks, Ticks]]:
    """Cut a rectangle up by levels of cuts edge to edge, each across the one before.

    Now and then, like pieces side by side are put down as a row that stays together.
    """
    rng = draft.rng
    axis = 0 if plane is Plane.CROSSCUT else 1
    extent, other = size[axis], size[1 - axis]
    least = 40 * MM
    if levels == 0 or extent < 2 * least + draft.kerf:
        yield size
        return
    next_plane = Plane.RIP if plane is Plane.CROSSCUT else Plane.CROSSCUT
    # A piece that is cut again may still have its trims on.
    most_along = extent if draft.rail is None else draft.rail - 24 * MM
    while extent >= least:
        most = min(5, (extent + draft.kerf) // (least + draft.kerf))
        alike = rng.randint(1, most) if rng.random() < 0.5 else 1
        longest = min((extent + draft.kerf) // alike - draft.kerf, most_along)
        part = draft.snapped(least, longest)
        if alike == 1 and most_along >= extent > part > extent - draft.kerf - least:
            part = extent  # all that is left, at whatever size it comes
        child = (part, other) if axis == 0 else (other, part)
        deeper = levels - 1 if rng.random() < 0.8 else 0
        if alike > 1 and deeper == 0 and rng.random() < 0.4:
            rows.append(_Row(size=child, count=alike, axis=axis))
        else:
            # What is repeated is made alike, so a row would be there several times.
            inner = rows if alike == 1 else []
            cut = list(_cut_up(draft, child, next_plane, deeper, inner))
            for _ in range(alike):
                yield from cut
        extent -= alike * (part + draft.kerf)


def _trim(draft: Draft, scale: int) -> Edges:
    rng = draft.rng
    style = rng.choice(["none", "all", "some"])
    if style == "none":
        return Edges()
    if style == "all":
        size = round(rng.choice(TRIMS[draft.unit]) * scale)
        return Edges(low_x=size, high_x=size, low_y=size, high_y=size)
    sizes = [round(rng.choice([0, *TRIMS[draft.unit]]) * scale) for _ in range(4)]
    return Edges(low_x=sizes[0], high_x=sizes[1], low_y=sizes[2], high_y=sizes[3])
