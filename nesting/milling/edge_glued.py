"""Strips glued edge to edge: a top wider than any board.

Strips are no wider than the jointer. Each edge loses its jointing, and the rounded
edges of a board are lost before that: one on each strip where a board is split in two,
both where it is taken whole. What has been glued is planed again, so a top is thinner
than its strips were. The widths of the strips are free: the first build has equal ones,
the others take boards at their full width, or split in two or three, and make up the
rest with one narrower strip or with a second full width. The solver chooses by cost.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from nesting.milling.one_piece import per_slice
from nesting.milling.want import Mill, Offers, RefusedError, Want, unique
from nesting.model.blank import Blank, Build, Take
from nesting.model.job import Section
from nesting.model.mill import Allowances, BuildKind
from nesting.units import Ticks

MOST_STRIPS = 30
MOST_BUILDS = 12
_MOST_SPLITS = 3

Widths = tuple[tuple[Ticks, int], ...]
"""Widths of strips, each with how many of them, the widest first."""


def edge_glued(want: Want, sections: Sequence[Section], mill: Mill) -> Offers:
    """Return builds of equal strips first, then of other widths.

    Raises
    ------
    RefusedError
        The part is thicker than what boards leave when they are planed twice, or the
        strips asked for would be too wide.
    """
    off = mill.allowances
    most = max(s.thickness for s in sections) - off.flatten - off.plane_glue_up
    thick = [
        s
        for s in sections
        if s.thickness >= want.thickness + off.flatten + off.plane_glue_up
    ]
    if not thick:
        raise RefusedError(
            "thickness",
            f"it is {mill.write(want.thickness)} thick, and strips are planed twice: "
            f"glued up from {want.material.name} it is {mill.write(max(0, most))} at "
            "most",
            "make it thinner, or give it the build laminated or on edge",
        )
    if mill.planer is None:
        raise RefusedError(
            "build", "what is glued up is planed, and this shop has no planer"
        )
    widest = max(s.width for s in thick) - off.eased
    if mill.jointer is not None:
        widest = min(widest, mill.jointer.width)
    wish = want.part.wish
    asked = wish.count if wish and wish.kind is BuildKind.EDGE_GLUED else None
    sets = list(_sets(want, thick, widest, asked, mill))
    if not sets:
        raise RefusedError(
            "build",
            f"its strips would be wider than {mill.write(widest)}, which is what the "
            "jointer and the boards give",
            "ask for more strips, or leave their number out",
        )
    builds = unique(_build(want, thick, widths, mill) for widths in sets)
    return Offers(builds=builds[:MOST_BUILDS])


def needed_width(want: Want, count: int, mill: Mill) -> Ticks:
    """Return what the widths of so many strips add up to at least.

    Where a piece wider than the planer is glued up in sections, the edges of these lose
    their jointing too.
    """
    wide = want.rough_width(mill)
    seams = -(-wide // (mill.widest_section or wide)) - 1
    lost = 2 * seams * mill.allowances.joint_edge
    return wide + count * edge_loss(mill.allowances) + lost


def edge_loss(allowances: Allowances) -> Ticks:
    """Return what a strip loses of its width: a rounded edge, and both its jointings.

    A strip that is a whole board loses both rounded edges; it is wider by one of them.
    """
    return allowances.eased + 2 * allowances.joint_edge


def _sets(
    want: Want,
    sections: Sequence[Section],
    widest: Ticks,
    asked: int | None,
    mill: Mill,
) -> Iterator[Widths]:
    """Yield widths of strips that add up; the equal ones come first."""
    least = mill.allowances.narrowest_strip
    count = asked or next(
        n
        for n in range(2, MOST_STRIPS * 100)
        if n * widest >= needed_width(want, n, mill)
    )
    if count > MOST_STRIPS:
        return
    equal = mill.round_up(-(-needed_width(want, count, mill) // count))
    if equal > widest:
        if asked:
            return
        count += 1
        equal = mill.round_up(-(-needed_width(want, count, mill) // count))
    yield ((equal, count),)
    full = _full_widths(sections, widest, least, mill)
    for width in full:
        yield from _with_rest(want, width, asked, least, mill)
    for place, wide in enumerate(full):
        for narrow in full[place + 1 :]:
            yield from _of_two(want, wide, narrow, asked, mill)


def _full_widths(
    sections: Sequence[Section], widest: Ticks, least: Ticks, mill: Mill
) -> list[Ticks]:
    """Return the widths a board gives whole or split evenly, the widest first."""
    found = set()
    for width in {section.width for section in sections}:
        for count in range(1, _MOST_SPLITS + 1):
            each = (width - (count - 1) * mill.rip_kerf) // count
            each = min(each, width - mill.allowances.eased)
            if least <= each <= widest:
                found.add(each)
                break
    return sorted(found, reverse=True)


def _with_rest(
    want: Want, width: Ticks, asked: int | None, least: Ticks, mill: Mill
) -> Iterator[Widths]:
    """Yield strips of one width and a narrower one, or all of that width."""
    for count in range(2, MOST_STRIPS + 1):
        if asked not in (None, count):
            continue
        needed = needed_width(want, count, mill)
        rest = mill.round_up(needed - (count - 1) * width)
        if rest > width:
            continue
        if rest >= least:
            yield ((width, count - 1), (rest, 1)) if rest < width else ((width, count),)
        elif count * width - needed < width:
            yield ((width, count),)
        return


def _of_two(
    want: Want, wide: Ticks, narrow: Ticks, asked: int | None, mill: Mill
) -> Iterator[Widths]:
    """Yield the mix of two widths that is least too wide."""
    best: tuple[Ticks, Widths] | None = None
    for many in range(1, MOST_STRIPS):
        for few in range(1, MOST_STRIPS - many):
            count = many + few
            over = many * wide + few * narrow - needed_width(want, count, mill)
            if asked not in (None, count) or over < 0:
                continue
            if best is None or over < best[0]:
                best = over, ((wide, many), (narrow, few))
            break
    if best is not None:
        yield best[1]


def _build(
    want: Want, sections: Sequence[Section], widths: Widths, mill: Mill
) -> Build:
    takes = []
    between = want.thickness + mill.allowances.plane_glue_up
    for width, count in sorted(Counter(dict(widths)).items(), reverse=True):
        able = [s for s in sections if s.width - mill.allowances.eased >= width]
        ordered = sorted(able, key=lambda s: (s.thickness, s.width, s.name))
        names = tuple(section.name for section in ordered)
        blank = Blank(
            id=f"{want.name}, strip {mill.write(width)}",
            part=want.part.name,
            role="strip",
            length=want.rough_length(mill),
            width=width,
            thickness=between,
            material=want.material.name,
            section=names[0] if len(names) == 1 else "",
            sections=names if len(names) > 1 else (),
            minimum=True,
            resawn=between + per_slice(between, able, mill),
        )
        takes.append(Take(blank=blank, count=count))
    said = " and ".join(f"{t.count} of {mill.write(t.blank.width)}" for t in takes)
    total = sum(take.count for take in takes)
    return Build(
        id=f"{want.name}: {total} strips, {said}",
        takes=tuple(takes),
        kind=BuildKind.EDGE_GLUED,
    )
