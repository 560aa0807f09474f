"""The way from rough blanks to a finished part, after the layouts are known.

Flatten before thickness, thickness before width, width before length; glue dries and
resawn wood rests until the next day; what is fitted to the work is cut last (common
practice of the bench). Each build has its own beginning; all end alike.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from nesting.milling.edge_glued import edge_loss
from nesting.milling.finish import Track, finish
from nesting.milling.joints import full_size, on_sides
from nesting.milling.panels import sides_covered, strip_lengths
from nesting.milling.want import Mill
from nesting.model.blank import Blank, Build, Need, Take
from nesting.model.job import Material, MaterialKind, Part
from nesting.model.mill import BuildKind, Corner
from nesting.model.plan import Layout, PlanRoute, PlanTake
from nesting.model.terms import Fate, Grain
from nesting.units import Ticks

Sizes = Mapping[str, tuple[Ticks, Ticks, Ticks]]


def routes(
    parts: Iterable[Part],
    materials: Iterable[Material],
    needs: Iterable[Need],
    layouts: Sequence[Layout],
    mill: Mill,
) -> tuple[tuple[PlanRoute, ...], tuple[str, ...]]:
    """Return how each part comes from its blanks, and what to mind.

    Parameters
    ----------
    parts, materials
        Of the job.
    needs
        With the build that was chosen, alone.
    layouts
        Where the blanks are cut: a blank that may be wider or thicker really has the
        size of its smallest piece.
    mill
        The machines and allowances.

    Returns
    -------
    tuple of PlanRoute, tuple of str
        A part that is finished when it is cut has no route. The sentences tell which
        operations no machine of the shop does.
    """
    by_name = {part.name: part for part in parts}
    kinds = {material.name: material.kind for material in materials}
    cut = _cut_sizes(layouts)
    found, said = [], []
    for need in needs:
        part, build = by_name[need.part], need.builds[0]
        track = Track(mill=mill)
        is_sheet = kinds[part.material] is MaterialKind.SHEET
        ready = _begin(track, part, need, build, cut, is_sheet=is_sheet)
        finish(track, part, need, ready, is_sheet=is_sheet)
        if len(track.operations) > 1:
            found.append(
                PlanRoute(
                    need=need.id,
                    part=part.name,
                    build=build.id,
                    why=need.why,
                    qty=need.quantity,
                    operations=tuple(track.operations),
                )
            )
        said += [text for text in track.said if text not in said]
    return tuple(found), tuple(said)


def _cut_sizes(layouts: Sequence[Layout]) -> Sizes:
    """Return the least length, width and thickness in which each blank is cut."""
    found: dict[str, tuple[Ticks, Ticks, Ticks]] = {}
    for layout in layouts:
        for piece in layout.pieces:
            if piece.fate != Fate.PART or piece.blank is None:
                continue
            long, wide = piece.length, piece.width
            if piece.turned:
                long, wide = wide, long
            size = (long, wide, piece.thickness)
            known = found.get(piece.blank, size)
            found[piece.blank] = (
                min(size[0], known[0]),
                min(size[1], known[1]),
                min(size[2], known[2]),
            )
    return found


def _begin(
    track: Track, part: Part, need: Need, build: Build, cut: Sizes, *, is_sheet: bool
) -> str:
    """Do what is special to a build; return what is left to finish."""
    if is_sheet:
        return _panel(track, part, build, cut)
    ways: dict[BuildKind, Callable[[Track, Part, Build, Sizes], str]] = {
        BuildKind.AS_BOUGHT: _as_bought,
        BuildKind.ONE_PIECE: _planed,
        BuildKind.RESAWN: _planed,
        BuildKind.LAMINATED: _laminated,
        BuildKind.EDGE_GLUED: _edge_glued,
        BuildKind.ON_EDGE: _on_edge,
    }
    return ways[build.kind](track, part, build, cut)


def _rough(track: Track, take: Take, cut: Sizes) -> tuple[Ticks, Ticks, Ticks]:
    """Begin with the blanks of a take as they come off the saws."""
    blank = take.blank
    size = cut.get(blank.id, (blank.length, blank.width, blank.thickness))
    track.do("cut", blank.id, take.count, size, machine="saws")
    return size


def _as_bought(track: Track, part: Part, build: Build, cut: Sizes) -> str:
    take = build.takes[0]
    _rough(track, take, cut)
    return take.blank.id


def _planed(track: Track, part: Part, build: Build, cut: Sizes) -> str:
    """Joint a face and an edge, and plane to thickness."""
    take = build.takes[0]
    blank = take.blank
    _, wide, thick = _rough(track, take, cut)
    final = part.thickness or thick
    if _is_slice(blank, cut):
        _let_rest(track, blank)
    else:
        _flatten(track, blank.id, thick, final)
    _, width = full_size(part, track.mill.allowances, is_sheet=False)
    track.joint_edge(blank.id, edges=1, least=wide if width is None else width)
    if thick > final:
        track.plane(blank.id, final)
    return blank.id


def _is_slice(blank: Blank, cut: Sizes) -> bool:
    """Tell whether it is cut so thin that it was resawn."""
    return (
        blank.resawn is not None
        and blank.id in cut
        and cut[blank.id][2] <= blank.resawn
    )


def _let_rest(track: Track, blank: Blank) -> None:
    track.note("joint a face and an edge before it is resawn; let slices rest")
    track.rest(blank.id)


def _flatten(track: Track, name: str, thick: Ticks, final: Ticks) -> None:
    """Joint a face flat; half of what is to come off comes off here."""
    half = min(track.mill.allowances.flatten, thick - final) // 2
    if half > 0:
        track.joint_face(name, half)


def _laminated(track: Track, part: Part, build: Build, cut: Sizes) -> str:
    """Plane the plies, glue them face to face, plane the stack."""
    take = build.takes[0]
    _, _, thick = _rough(track, take, cut)
    final = part.thickness or thick
    off = track.mill.allowances
    each = -(-(final + off.plane_glue_up) // take.count)
    ply = min(thick, track.mill.round_up(each))
    _flatten(track, take.blank.id, thick, ply)
    if ply < thick:
        track.plane(take.blank.id, ply, note="both faces; the glue faces last")
    size = track.size(take.blank.id)
    track.glue(
        part.name,
        (PlanTake(blank=take.blank.id, count=take.count),),
        (size[0], size[1] - off.glue_slip, take.count * ply),
        note="face to face, ends and edges even; they slip a little",
    )
    track.joint_edge(part.name, edges=1)
    if take.count * ply > final:
        track.plane(part.name, final)
    return part.name


def _edge_glued(track: Track, part: Part, build: Build, cut: Sizes) -> str:
    """Mill the strips, glue them in sections, plane these, glue them together."""
    off = track.mill.allowances
    final = part.thickness or 0
    strips = []
    for take in build.takes:
        _, _, thick = _rough(track, take, cut)
        between = final + off.plane_glue_up
        if _is_slice(take.blank, cut):
            _let_rest(track, take.blank)
        else:
            _flatten(track, take.blank.id, thick, between)
        track.plane(take.blank.id, between)
        width = take.blank.width - edge_loss(off)
        track.joint_edges_to(take.blank.id, width)
        strips += [take.blank.id] * take.count
    wide = {name: track.size(name)[1] for name in strips}
    return _sections(track, part, strips, wide, final)


def _on_edge(track: Track, part: Part, build: Build, cut: Sizes) -> str:
    """Plane the strips, turn them on edge, and glue them in sections."""
    take = build.takes[0]
    name = take.blank.id
    _, _, thick = _rough(track, take, cut)
    each = take.blank.thickness - track.mill.allowances.flatten
    _flatten(track, name, thick, each)
    track.plane(name, each, note="both faces: they become the glue lines")
    final = part.thickness or 0
    return _sections(
        track, part, [name] * take.count, {name: each}, final, is_on_edge=True
    )


def _sections(
    track: Track,
    part: Part,
    strips: Sequence[str],
    wide: Mapping[str, Ticks],
    final: Ticks,
    *,
    is_on_edge: bool = False,
) -> str:
    """Glue strips in sections that pass the planer, and the sections together."""
    off = track.mill.allowances
    most = track.mill.widest_section or sum(wide[name] for name in strips)
    groups: list[list[str]] = [[]]
    for name in strips:
        if groups[-1] and sum(wide[n] for n in groups[-1]) + wide[name] > most:
            groups.append([])
        groups[-1].append(name)
    names = []
    for number, group in enumerate(groups):
        name = part.name if len(groups) == 1 else f"{part.name}, section {number + 1}"
        names.append(name)
        length, strip_width, strip_thickness = track.size(group[0])
        thick = strip_width - off.glue_slip if is_on_edge else strip_thickness
        counts = {each: group.count(each) for each in dict.fromkeys(group)}
        track.glue(
            name,
            tuple(PlanTake(blank=each, count=count) for each, count in counts.items()),
            (length, sum(wide[each] for each in group), thick),
            note="on edge, face to face" if is_on_edge else "edge to edge",
        )
    for name in names:
        track.plane(name, final)
    if len(names) == 1:
        return part.name
    for name in names:
        edges = 1 if name in (names[0], names[-1]) else 2
        track.joint_edge(name, edges=edges)
    length = min(track.size(name)[0] for name in names)
    track.glue(
        part.name,
        tuple(PlanTake(blank=name, count=1) for name in names),
        (length, sum(track.size(name)[1] for name in names), final),
        note="section to section; flush the seams by hand, they do not pass the planer",
    )
    return part.name


def _panel(track: Track, part: Part, build: Build, cut: Sizes) -> str:
    """Glue solid edging on a panel."""
    panel, *strips = build.takes
    blank = panel.blank
    across = part.grain is Grain.WIDTH
    if across and blank.grain is Grain.ANY:  # nobody sees which way it lay
        long, wide, thick = cut.get(blank.id, (blank.length, blank.width, 0))
        cut = {**cut, blank.id: (wide, long, thick or blank.thickness)}
    _rough(track, panel, cut)
    if across and blank.grain is Grain.LENGTH:
        track.turn(blank.id)
    edging = part.edging
    if edging is None:
        return blank.id
    lengths = strip_lengths(part, edging, track.mill)
    for take in strips:
        _strip(track, part, take, cut, lengths.values())
    ends, edges = sides_covered(edging)
    length, width, _ = track.size(blank.id)
    mitred = edging.corner is Corner.MITRE and len(edging.sides) > 1
    track.glue(
        part.name,
        (
            PlanTake(blank=blank.id, count=1),
            *(PlanTake(blank=t.blank.id, count=t.count) for t in strips),
        ),
        (
            length + ends * edging.thickness,
            width + edges * edging.thickness,
            blank.thickness,
        ),
        note=f"edging on {on_sides(edging.sides)}"
        + (", mitred at the corners" if mitred else "")
        + "; trim it flush when it is dry",
    )
    return part.name


def _strip(
    track: Track, part: Part, take: Take, cut: Sizes, lengths: Iterable[Ticks]
) -> None:
    """Mill strips of edging: to their thickness, and to the length of their side."""
    blank: Blank = take.blank
    _, wide, thick = _rough(track, take, cut)
    edging = part.edging
    assert edging is not None
    if blank.thickness == edging.thickness:
        if thick > edging.thickness:
            track.plane(blank.id, edging.thickness)
    elif wide > edging.thickness:  # it lies on its side in the board
        track.resize("rip", blank.id, width=edging.thickness, setting=edging.thickness)
    over = blank.length - track.mill.allowances.edging_length
    long = next(each for each in lengths if each == over)
    track.resize(
        "crosscut", blank.id, length=long, note="to fit its side, best when held to it"
    )
