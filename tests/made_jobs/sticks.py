"""Sticks cut to lengths, and some of these ripped narrower."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from made_jobs.draft import TRIMS, Draft, grouped, supplied
from nesting.model.job import Material, MaterialKind, Part, Section
from nesting.model.stock import Edges, Stock
from nesting.model.terms import Form
from nesting.units import TICKS_PER_MM as MM
from nesting.units import Ticks, Unit

_SECTIONS: dict[Unit, list[tuple[float, float]]] = {
    Unit.MM: [(19, 89), (22, 120), (38, 89), (45, 145), (27, 60)],
    Unit.INCH: [(0.75, 2.5), (0.75, 3.5), (1.5, 3.5), (1.5, 5.5), (1, 4)],
}
_LENGTHS = {
    Unit.MM: [1800, 2100, 2400, 3000, 3600, 4800],
    Unit.INCH: [72, 84, 96, 120, 144, 192],
}


def add_sticks(draft: Draft, number: int, *, narrow: bool) -> None:
    rng = draft.rng
    scale = draft.scale
    name = f"{rng.choice(['pine', 'oak', 'ash', 'larch'])} {number + 1}"
    sections = [
        Section(
            name=f"batten {place}",
            thickness=round(thick * scale),
            width=round(wide * scale),
        )
        for place, (thick, wide) in enumerate(
            rng.sample(_SECTIONS[draft.unit], k=rng.randint(1, 2)), start=1
        )
    ]
    end = rng.choice([0, *TRIMS[draft.unit]])
    trim = Edges(low_x=round(end * scale), high_x=round(end * scale))
    stock: list[Stock] = []
    parts: list[Part] = []
    for section in sections:
        lengths = rng.sample(_LENGTHS[draft.unit], k=rng.randint(1, 3))
        offers = [
            Stock(
                id=f"{name} {section.name} {length}",
                material=name,
                section=section.name,
                form=Form.STICK,
                length=length * scale,
                width=section.width,
                thickness=section.thickness,
                trim=trim,
                price_cents=length * scale // MM // 5 + rng.randint(0, 200),
            )
            for length in lengths
        ]
        used: Counter[str] = Counter()
        pieces: list[tuple[Ticks, Ticks]] = []
        quota = max(1, draft.left // len(sections))
        while not pieces or (len(pieces) < quota and sum(used.values()) < 12):
            stick = rng.choice(offers)
            used[stick.id] += 1
            rest = stick.usable_length
            least = 80 * MM
            before = len(pieces)
            while rest >= least and len(pieces) < quota:
                size = draft.snapped(least, min(rest, rest // 2 + least))
                if rest - size - draft.kerf < least and rng.random() < draft.fill:
                    size = rest
                if rng.random() < draft.fill or len(pieces) == before:
                    pieces.append((size, section.width))
                rest -= size + draft.kerf
        stock += supplied(draft, offers, used)
        for (length, _), quantity in grouped(draft, pieces).items():
            width: Ticks | None = rng.choice([None, section.width])
            if narrow and rng.random() < 0.2:
                width = section.width - draft.snapped(draft.grid, section.width // 2)
            parts.append(
                Part(
                    name="",
                    quantity=quantity,
                    material=name,
                    length=length,
                    width=width,
                    thickness=rng.choice([None, section.thickness]),
                    section=section.name,
                )
            )
    draft.materials.append(
        Material(
            name=name,
            kind=MaterialKind.LUMBER,
            sections=tuple(sections),
            stock=tuple(stock),
        )
    )
    for part in parts:
        draft.parts.append(replace(part, name=draft.named()))
