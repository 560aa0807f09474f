"""The end of every route: to width, to length, apart, joints, and fitted to the work.

The wanted piece lies between fence or stop and blade. Which saw does it is asked of the
shop: the first whose reach holds the piece as it then is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from nesting.milling.joints import between_and_overall, full_size, grown, on_sides
from nesting.milling.want import Mill
from nesting.model.blank import Need
from nesting.model.job import Part
from nesting.model.mill import JointKind
from nesting.model.plan import Operation, PlanTake
from nesting.model.shop import Saw
from nesting.model.terms import Guide, Plane
from nesting.trade.defaults import default_length
from nesting.units import Ticks

Size = tuple[Ticks, Ticks, Ticks]


@dataclass(slots=True)
class Track:
    """What has been done so far, and what there is now."""

    mill: Mill
    operations: list[Operation] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    """What no machine of the shop does, a sentence each."""
    _now: dict[str, tuple[int, Size]] = field(default_factory=dict)
    """How many pieces there are of each name, and their size."""
    _day: dict[str, int] = field(default_factory=dict)

    def size(self, name: str) -> Size:
        """Return the size that each piece of a name has now."""
        return self._now[name][1]

    def do(
        self,
        what: str,
        name: str,
        pieces: int,
        size: Size,
        *,
        machine: str = "",
        setting: Ticks | None = None,
        takes: tuple[PlanTake, ...] = (),
        note: str = "",
    ) -> None:
        """Add an operation, and keep what it leaves."""
        self._now[name] = pieces, size
        self.operations.append(
            Operation(
                what=what,
                of=name,
                pieces=pieces,
                length=size[0],
                width=size[1],
                thickness=size[2],
                machine=machine,
                setting=setting,
                day=self._day.setdefault(name, 1),
                takes=takes,
                note=note,
            )
        )

    def note(self, text: str) -> None:
        """Write a note beside the last operation."""
        self.operations.append(replace(self.operations.pop(), note=text))

    def turn(self, name: str) -> None:
        """Tell its sizes as its part does, whose length lies across the grain."""
        pieces, (long, wide, thick) = self._now[name]
        self._now[name] = pieces, (wide, long, thick)

    def rest(self, name: str) -> None:
        """Leave it until the next day."""
        self._day[name] += 1

    def resize(
        self,
        what: str,
        name: str,
        *,
        length: Ticks | None = None,
        width: Ticks | None = None,
        thickness: Ticks | None = None,
        pieces: int | None = None,
        machine: str = "",
        setting: Ticks | None = None,
        note: str = "",
    ) -> None:
        """Work a piece to another size."""
        there, (long, wide, thick) = self._now[name]
        size = (
            long if length is None else length,
            wide if width is None else width,
            thick if thickness is None else thickness,
        )
        self.do(
            what,
            name,
            there if pieces is None else pieces,
            size,
            machine=machine,
            setting=setting,
            note=note,
        )

    def joint_face(self, name: str, off: Ticks) -> None:
        """Joint a face flat."""
        _, wide, thick = self.size(name)
        jointer = self.mill.jointer
        fits = (
            jointer is not None
            and wide <= jointer.width
            and self._is_large_enough(name, thick - off)
        )
        self.resize(
            "joint",
            name,
            thickness=thick - off,
            machine=hand_or("jointer", fits=fits),
            note="a face",
        )

    def joint_edge(self, name: str, *, edges: int, least: Ticks = 0) -> None:
        """Joint one edge, or both, straight and square to the face.

        Not where that would leave less than `least`: then the edges stay as they come.
        """
        _, wide, thick = self.size(name)
        off = edges * self.mill.allowances.joint_edge
        if not off or wide - off < max(least, 1):
            return
        self.resize(
            "joint",
            name,
            width=wide - off,
            machine=hand_or("jointer", fits=self._is_large_enough(name, thick)),
            note="an edge" if edges == 1 else "both edges",
        )

    def joint_edges_to(self, name: str, width: Ticks) -> None:
        """Joint both edges to a width; the rounded edges of the board go with it."""
        thick = self.size(name)[2]
        self.resize(
            "joint",
            name,
            width=width,
            machine=hand_or("jointer", fits=self._is_large_enough(name, thick)),
            note="both edges, until the rounded ones of the board are gone",
        )

    def plane(self, name: str, thickness: Ticks, note: str = "") -> None:
        """Plane to a thickness."""
        long, wide, _ = self.size(name)
        planer = self.mill.planer
        fits = (
            planer is not None
            and wide <= planer.width
            and long >= planer.shortest
            and thickness >= planer.thinnest
        )
        self.resize(
            "plane",
            name,
            thickness=thickness,
            machine=hand_or("planer", fits=fits),
            setting=thickness if fits else None,
            note=note,
        )

    def glue(
        self, name: str, takes: tuple[PlanTake, ...], size: Size, note: str
    ) -> None:
        """Glue pieces to one, and leave it until the next day."""
        self._day[name] = max(self._day[take.blank] for take in takes)
        self.do("glue", name, 1, size, machine="clamps", takes=takes, note=note)
        self.rest(name)

    def _is_large_enough(self, name: str, thickness: Ticks) -> bool:
        """Tell whether the jointer takes a piece that is left so thick."""
        jointer = self.mill.jointer
        return (
            jointer is not None
            and self.size(name)[0] >= jointer.shortest
            and thickness >= jointer.thinnest
        )


def hand_or(machine: str, *, fits: bool) -> str:
    """Return a machine where a piece fits it, nothing (by hand) where not."""
    return machine if fits else ""


def finish(track: Track, part: Part, need: Need, name: str, *, is_sheet: bool) -> None:
    """Bring what is left to the part's width and length, part it, and join it.

    Parameters
    ----------
    track
        What has been done.
    part, need
        What it becomes, and of how many copies it is.
    name
        What the piece is called now.
    is_sheet
        Whether it is of sheet goods.
    """
    mill = track.mill
    added = grown(part, mill.allowances, is_sheet=is_sheet)
    long, wide, _ = track.size(name)
    full_length, full_width = full_size(part, mill.allowances, is_sheet=is_sheet)
    final_length, final_width = full_length, full_width or wide
    if part.is_fitted:  # it is kept oversize until the work is there
        final_length, final_width = max(long, final_length), wide
    if wide > final_width:
        _saw(track, part, name, Plane.RIP, final_width, is_sheet=is_sheet)
    if need.copies > 1:
        final_length = full_length
    if long > final_length or need.copies > 1:
        _saw(
            track,
            part,
            name,
            Plane.CROSSCUT,
            final_length,
            need.copies,
            is_sheet=is_sheet,
        )
    if part.joints:
        both = between_and_overall(part, added, mill.display)
        note = "; ".join(_joints(part, mill))
        note += f" ({both})" if both else ""
        if any(joint.kind is JointKind.HORN for joint in part.joints):
            note += "; horns come off when it is glued"
        track.resize("joints", name, note=note)
    if part.is_fitted:
        track.resize("fit", name, note="last of all, to the work; measured: ________")


def _joints(part: Part, mill: Mill) -> Iterator[str]:
    for joint in part.joints:
        yield f"{joint.kind} {mill.write(joint.depth)}, {on_sides(joint.sides)}"


def _saw(
    track: Track,
    part: Part,
    name: str,
    plane: Plane,
    measure: Ticks,
    pieces: int | None = None,
    *,
    is_sheet: bool,
) -> None:
    """Rip or crosscut a piece to its size, on a saw that reaches."""
    size = track.size(name)
    saw = _reaching(track.mill, plane, size, measure, is_sheet=is_sheet)
    word = "rip" if plane is Plane.RIP else "crosscut"
    if saw is None:
        track.said.append(
            f"no saw of this shop reaches to {word} {part.name} to "
            f"{track.mill.write(measure)} when it is glued or planed: do it by hand"
        )
    guide = Guide.LINE if saw is None else _guide(saw, plane)
    note = {Guide.FENCE: "fence", Guide.STOP: "stop", Guide.LINE: "to a line"}[guide]
    track.resize(
        word,
        name,
        length=measure if plane is Plane.CROSSCUT else None,
        width=measure if plane is Plane.RIP else None,
        pieces=pieces,
        machine="" if saw is None else saw.name,
        setting=None if saw is None or guide is Guide.LINE else measure,
        note=note if pieces in (None, 1) else f"{note}; apart, {pieces} of them",
    )


def _reaching(
    mill: Mill, plane: Plane, size: Size, measure: Ticks, *, is_sheet: bool
) -> Saw | None:
    """Return the saw that cuts a piece across its length or its width.

    The first against a fence or a stop, which sets the size; else the first along a
    line, but no rail on lumber too narrow to carry it.
    """
    along = plane is Plane.RIP
    able = [
        saw
        for saw in mill.saws
        if plane in saw.planes and _reaches(saw, plane, size, measure)
    ]
    set_up = [saw for saw in able if _guide(saw, plane) is not Guide.LINE]
    if set_up or not able:
        return set_up[0] if set_up else None
    is_narrow = not is_sheet and size[1] < default_length("rail_narrowest_lumber")
    return None if along and is_narrow else able[0]


def _guide(saw: Saw, plane: Plane) -> Guide:
    return saw.rip_guide if plane is Plane.RIP else saw.crosscut_guide


def _reaches(saw: Saw, plane: Plane, size: Size, measure: Ticks) -> bool:
    """Tell whether a saw reaches through a piece and to the measure."""
    long, wide, thick = size
    run = long if plane is Plane.RIP else wide
    if run > (saw.longest_cut or run) or thick > (saw.tallest or thick):
        return False
    if plane is Plane.CROSSCUT and run > (saw.widest_crosscut or run):
        return False
    if _guide(saw, plane) is not Guide.FENCE:
        return True
    widest, narrowest = saw.widest_rip or measure, saw.narrowest_rip or 0
    return narrowest <= measure <= widest and run >= measure
