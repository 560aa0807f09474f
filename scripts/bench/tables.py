"""Sums over the rows of a benchmark, and their table on the terminal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from bench.measure import Row

TOTAL = "total"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sums:
    """The rows of one group, added up."""

    group: str
    instances: int
    value: int
    lower_bound: int
    proven: int
    seconds: float
    sound: int
    published_bound: int | None
    """None where one of the rows has none, as below."""
    compared: int
    """Rows of which the best published value is known; the next three are of them."""
    compared_value: int
    published_best: int
    as_good: int
    """Rows whose value is at most that one."""

    def record(self) -> dict[str, Any]:
        """Return the sums as they are written; what is not known is left out."""
        fields = {name: getattr(self, name) for name in self.__slots__}
        return {name: value for name, value in fields.items() if value is not None}


def add_up(rows: Sequence[Row]) -> list[Sums]:
    """Return the sums of every group in the order of the rows, and of them all."""
    groups: dict[str, list[Row]] = {}
    for row in rows:
        groups.setdefault(row.group, []).append(row)
    return [
        *(_sums(group, members) for group, members in groups.items()),
        _sums(TOTAL, rows),
    ]


def _sums(group: str, rows: Sequence[Row]) -> Sums:
    known = [
        (row.value, row.published_best)
        for row in rows
        if row.published_best is not None
    ]
    return Sums(
        group=group,
        instances=len(rows),
        value=sum(row.value for row in rows),
        lower_bound=sum(row.lower_bound for row in rows),
        proven=sum(row.proven for row in rows),
        seconds=round(sum(row.seconds for row in rows), 3),
        sound=sum(row.sound for row in rows),
        published_bound=_whole(row.published_bound for row in rows),
        compared=len(known),
        compared_value=sum(value for value, _ in known),
        published_best=sum(best for _, best in known),
        as_good=sum(value <= best for value, best in known),
    )


def _whole(values: Iterable[int | None]) -> int | None:
    listed = list(values)
    known = [value for value in listed if value is not None]
    return sum(known) if known and len(known) == len(listed) else None


def table(sums: Sequence[Sums], *, published: bool) -> str:
    """Return a table with a line per group.

    Parameters
    ----------
    sums
        Of the groups, with the total last.
    published
        Whether the published bounds and best values stand beside ours.
    """
    head = ["", "instances", "value", "bound", "proven", "seconds"]
    if published:
        head += ["known bound", "compared", "ours", "known best", "as good"]
    lines = [head]
    for one in sums:
        line = [
            one.group,
            str(one.instances),
            str(one.value),
            str(one.lower_bound),
            str(one.proven),
            f"{one.seconds:.1f}",
        ]
        if published:
            bound = one.published_bound
            line += ["-" if bound is None else str(bound), str(one.compared)]
            known = (one.compared_value, one.published_best, one.as_good)
            line += [str(value) if one.compared else "-" for value in known]
        lines.append(line)
    return aligned(lines)


def aligned(lines: Sequence[Sequence[str]]) -> str:
    """Return lines of equally many cells in columns, all but the first to the right."""
    widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
    return "\n".join(
        "  ".join(
            cell.ljust(width) if place == 0 else cell.rjust(width)
            for place, (cell, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in lines
    )
