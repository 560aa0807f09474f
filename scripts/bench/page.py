"""The page of benchmarks, from the results of measurements."""

from __future__ import annotations

import shlex
import statistics
from collections.abc import Sequence
from pathlib import PurePath
from typing import Any, Final

from bench.page_text import FORM, INTRODUCTION, PUBLISHED_NOTE, SHEETS_NOTE
from bench.published import BWMV_TOTALS, METHODS, source_of

Result = dict[str, Any]
PICTURE: Final = "pictures/growth.svg"


class PageError(ValueError):
    """A file that is no result, or one of a kind that has no place on the page."""


def page(results: Sequence[Result]) -> str:
    """Return the page as markdown, one section for each result."""
    for result in results:
        if result["kind"] not in _SECTIONS:
            raise PageError(f"{result['kind']!r} is no kind of result known here")
    order = list(_SECTIONS)
    ordered = sorted(results, key=lambda result: order.index(result["kind"]))
    try:
        blocks = [INTRODUCTION, _machines(ordered)]
        blocks += [_SECTIONS[result["kind"]](result) for result in ordered]
    except (KeyError, TypeError, IndexError) as error:
        what = f"a result is incomplete: {type(error).__name__}: {error}"
        raise PageError(what) from error
    if any(result["kind"] == "sheets" for result in ordered):
        blocks.append(_published())
    blocks += [_sources(ordered), FORM]
    return "\n\n".join(block.strip() for block in blocks if block) + "\n"


def _table(head: Sequence[str], rows: Sequence[Sequence[Any]]) -> str:
    """Return a table of markdown; all columns but the first stand to the right."""
    lines = [list(head), ["---", *["---:"] * (len(head) - 1)]]
    lines += [["-" if cell is None else str(cell) for cell in row] for row in rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def _machines(results: Sequence[Result]) -> str:
    said = []
    for result in results:
        it = result["machine"]
        libraries = ", ".join(
            f"{name} {it[name]}" for name in ("numpy", "numba", "ortools") if name in it
        )
        said.append(
            f"Measured on {it['processor']}, {it['cores']} cores, {it['system']}, "
            f"Python {it['python']}, {libraries}; commit {result['commit'][:12]}"
            f"{'+' if result['commit'].endswith('+') else ''}."
        )
    return "\n".join(dict.fromkeys(said))


def _command(result: Result) -> str:
    """Return a result's command, without the folders of the machine it ran on."""
    words = []
    for word in result["command"]:
        path = PurePath(word)
        if path.is_absolute():
            data = path.name == result.get("data")
            word = f"DATA_FOLDER/{path.name}" if data else path.name
        words.append(word)
    return f"```\n{shlex.join(words)}\n```"


# --- published instances --------------------------------------------------------------


def _sheets(result: Result) -> str:
    way = "with turning" if result["turn"] else "without turning"
    title = f"## Sheets: {result['data'].removesuffix('.json.gz')}, {way}"
    return "\n\n".join([title, SHEETS_NOTE, _limits(result), _by_group(result)])


def _boards(result: Result) -> str:
    title = f"## Sticks: {result['data'].removesuffix('.json.gz')}"
    return "\n\n".join([title, _limits(result), _by_group(result)])


def _limits(result: Result) -> str:
    limit = f"at most {result['seconds']:g} s each"
    if result.get("work") is not None:
        limit += f" and {result['work']:,} search steps"
    rows = result["rows"]
    said = f"{len(rows)} instances, {limit}, seed {result['seed']}."
    unsound = sum(not row["sound"] for row in rows)
    if len(rows) < result["instances"]:
        said += f" {result['instances'] - len(rows)} of those asked for are missing."
    if unsound:
        said += f" {unsound} {'plans' if unsound > 1 else 'plan'} did not pass "
        said += "their check." if unsound > 1 else "its check."
    else:
        said += " Every plan passed its check."
    return f"{said}\n\n{_command(result)}"


def _by_group(result: Result) -> str:
    groups: dict[str, list[Result]] = {}
    for row in result["rows"]:
        groups.setdefault(row["group"], []).append(row)
    lines = [_line(group, rows) for group, rows in groups.items()]
    if len(lines) > 1:
        lines.append(_line("all", result["rows"]))
    head = ["set, class", "instances", "value", "bound", "gap", "proven"]
    head += ["known best of", "ours there", "best there", "as good", "mean s"]
    return _table(head, lines)


def _line(group: str, rows: Sequence[Result]) -> list[Any]:
    value = sum(row["value"] for row in rows)
    bound = sum(row["lower_bound"] for row in rows)
    known = [row for row in rows if row["published_best"] is not None]
    return [
        " ".join(group.split()),
        len(rows),
        value,
        bound,
        f"{(value - bound) / bound:.2%}" if bound else None,
        sum(row["proven"] for row in rows),
        len(known) or None,
        sum(row["value"] for row in known) if known else None,
        sum(row["published_best"] for row in known) if known else None,
        sum(row["value"] <= row["published_best"] for row in known) if known else None,
        f"{statistics.mean(row['seconds'] for row in rows):.2f}",
    ]


def _published() -> str:
    head = ["class", "P", "B", "G", "best per group", "H, turned", "G, turned"]
    columns = list(zip(*BWMV_TOTALS, strict=True))[1:]
    table = _table(head, [*BWMV_TOTALS, ["all", *[sum(column) for column in columns]]])
    methods = "\n".join(f"- {letter}: {paper}" for letter, paper in METHODS.items())
    return "\n\n".join(
        ["## What others have published", PUBLISHED_NOTE, table, methods]
    )


def _sources(results: Sequence[Result]) -> str:
    names: dict[str, list[str]] = {}
    for result in results:
        if result["kind"] not in ("sheets", "boards"):
            continue
        for row in result["rows"]:
            head, _, tail = row["group"].rpartition(" ")
            name = head.strip() if tail.isdigit() and head else row["group"]
            source = source_of(name) or "not known to this page"
            if name not in names.setdefault(source, []):
                names[source].append(name)
    if not names:
        return ""
    lines = [
        f"- {', '.join(name or 'without a name' for name in members)}: {source}"
        for source, members in names.items()
    ]
    return "## Where the instances are from\n\n" + "\n".join(lines)


# --- own projects ---------------------------------------------------------------------


def _projects(result: Result) -> str:
    sums, rows = result["sums"], result["rows"]
    reached = [row["reached_after"] for row in rows if row["reached"]]
    times = (
        f" Those took {statistics.median(reached):.2f} s in the median and "
        f"{max(reached):.2f} s at the most."
        if reached
        else ""
    )
    aim = "{} of {}".format(*sums["aim"])
    head = ["seed", "parts", "fill", "bound", "sheets", "seconds", "CPU s"]
    head += ["sheets later", "seconds later"]
    lines = [
        [
            row["seed"],
            row["pieces"],
            f"{row['fill']:.1%}",
            row["bound"],
            row["value"],
            row["reached_after"],
            row["reached_cpu"],
            row["value_later"],
            row["reached_later"],
        ]
        for row in rows
    ]
    return "\n\n".join(
        [
            "## Furniture projects: as few sheets as the bound, in a second",
            f"{sums['reached']} of {sums['projects']} projects were planned on as few "
            f"sheets as their bound says within {result['seconds']:g} s of the clock "
            f"(aim: {aim}).{times} Where the first plan had more, the project was "
            "planned again with the time of `nesting plan` (the last two columns).",
            _command(result),
            _table(head, lines),
        ]
    )


def _offcuts(result: Result) -> str:
    sums = result["sums"]
    head = ["seed", "parts", "sheets", "bound", "slack sq in", "largest sq in", "share"]
    head += ["offcuts"]
    lines = [
        [
            row["seed"],
            row["pieces"],
            row["value"],
            row["bound"],
            f"{row['slack']:.0f}",
            f"{row['largest']:.0f}",
            f"{row['share']:.1%}",
            row["offcuts"],
        ]
        for row in result["rows"]
    ]
    return "\n\n".join(
        [
            "## Furniture projects: what is left in one piece",
            f"In the median the largest offcut worth keeping is {sums['median']:.1%} "
            "of the slack, which is the sheets less parts and kerfs (aim: "
            f"{sums['aim']:.0%}), within the {result['seconds']:g} s that "
            "`nesting plan` takes by default.",
            _command(result),
            _table(head, lines),
        ]
    )


def _growth(result: Result) -> str:
    head = ["parts", "seed", "bound", "sheets", "good after", "checked after"]
    lines = [
        [
            row["parts"],
            row["seed"],
            row["bound"],
            row["value"],
            row["good_after"] or f"> {result['seconds']:g}",
            row["checked_after"],
        ]
        for row in result["rows"]
    ]
    return "\n\n".join(
        [
            "## How the time grows",
            "Seconds of the clock until a plan is within one sheet of its bound or "
            "within 2 % of it, whichever is more; and until that plan was laid out, "
            "put in order and checked.",
            f"![Seconds to a good plan over the number of parts]({PICTURE})",
            _command(result),
            _table(head, lines),
        ]
    )


def _rates(result: Result) -> str:
    it = result["rates"]
    aims = result["aims"]
    lines: list[list[Any]] = [
        [
            "iterations a second, 50 parts, one thread",
            f"{it['rate']:,}",
            f"{aims['rate']:,}",
        ],
        [
            "start to the first checked plan, processor s",
            f"{it['first_plan_cpu']:.2f}",
            f"< {aims['first_plan_cpu']:g}",
        ],
        [
            "the whole command with its drawings, processor s",
            f"{it['whole_command_cpu']:.2f}",
            None,
        ],
        [
            "most memory of `nesting plan`, 60 parts, MiB",
            f"{it['memory_mib']:.0f}",
            f"< {aims['memory_mib']:g}",
        ],
    ]
    return "\n\n".join(
        [
            "## Rate, start and memory",
            "Rate and start are the best of several repeats, the compiler being warm.",
            _command(result),
            _table(["", "measured", "aim"], lines),
        ]
    )


_SECTIONS: Final = {
    "sheets": _sheets,
    "boards": _boards,
    "projects": _projects,
    "offcuts": _offcuts,
    "growth": _growth,
    "rates": _rates,
}
