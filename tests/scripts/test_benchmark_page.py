"""The page of benchmarks says what the results say, and no folder of the machine.

Results are written by hand here; their sums are done by hand beside them.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

Loader = Callable[[str], ModuleType]

HEAD: dict[str, Any] = {
    "command": ["python", "scripts/x.py", "--out", "/home/someone/build/x.json"],
    "commit": "0123456789abcdef0123",
    "machine": {
        "processor": "Some Processor",
        "cores": 2,
        "system": "Linux",
        "python": "3.11.7",
        "numpy": "2.4.6",
    },
    "seconds": 10.0,
}


def _row(name: str, group: str, value: int, bound: int, best: int | None) -> Any:
    return {
        "name": name,
        "group": group,
        "value": value,
        "lower_bound": bound,
        "proven": value == bound,
        "seconds": 0.5 * value,
        "published_best": best,
        "sound": True,
    }


SHEETS: dict[str, Any] = {
    **HEAD,
    "kind": "sheets",
    "command": [
        *("python", "scripts/benchmark.py", "sheets", "/home/someone/data/two.json.gz"),
        *("--out", "/home/someone/two.json"),
    ],
    "data": "two.json.gz",
    "turn": False,
    "seed": 0,
    "instances": 4,
    "rows": [
        _row("a", "BWMV  1", 5, 4, 4),
        _row("b", "BWMV  1", 7, 7, 7),
        _row("c", "BWMV  1", 9, 9, None),
        _row("d", "mine", 2, 1, None),
    ],
}

PROJECTS: dict[str, Any] = {
    **HEAD,
    "kind": "projects",
    "seconds": 1.0,
    "sums": {"projects": 2, "reached": 1, "aim": [34, 36]},
    "rows": [
        {
            "seed": 1,
            "pieces": 50,
            "fill": 0.91,
            "bound": 4,
            "value": 4,
            "reached_after": 0.25,
            "reached_cpu": 0.2,
            "reached": True,
            "value_later": None,
            "reached_later": None,
        },
        {
            "seed": 2,
            "pieces": 60,
            "fill": 0.93,
            "bound": 5,
            "value": 6,
            "reached_after": None,
            "reached_cpu": None,
            "reached": False,
            "value_later": 5,
            "reached_later": 2.5,
        },
    ],
}

OFFCUTS: dict[str, Any] = {
    **HEAD,
    "kind": "offcuts",
    "sums": {"projects": 1, "median": 0.425, "aim": 0.5},
    "rows": [
        {
            "seed": 1,
            "pieces": 50,
            "value": 4,
            "bound": 4,
            "offcuts": 3,
            "slack": 1000.0,
            "largest": 425.0,
            "share": 0.425,
        }
    ],
}

GROWTH: dict[str, Any] = {
    **HEAD,
    "kind": "growth",
    "seconds": 60.0,
    "rows": [
        {
            "parts": 50,
            "seed": 1,
            "bound": 3,
            "value": 3,
            "good_after": 0.1,
            "checked_after": 0.2,
        },
        {
            "parts": 1000,
            "seed": 1,
            "bound": 72,
            "value": 77,
            "good_after": None,
            "checked_after": None,
        },
    ],
}

RATES: dict[str, Any] = {
    **HEAD,
    "kind": "rates",
    "aims": {"rate": 150_000, "first_plan_cpu": 1.0, "memory_mib": 300.0},
    "rates": {
        "rate": 123_456,
        "first_plan_cpu": 0.87,
        "whole_command_cpu": 2.5,
        "memory_mib": 229.4,
    },
}


def _page(script: Loader, *results: dict[str, Any]) -> str:
    text = script("bench.page").page(results)
    assert isinstance(text, str)
    return text


def _cells(text: str, first: str) -> list[str]:
    line = next(line for line in text.splitlines() if line.startswith(f"| {first} |"))
    return [cell.strip() for cell in line.strip("|").split("|")][1:]


def test_groups_are_added_up(script: Loader) -> None:
    """5 + 7 + 9 = 21 over 4 + 7 + 9 = 20 is a gap of 5 %; two bests are known, 12 : 11.

    The mean seconds of 2.5, 3.5 and 4.5 are 3.5.
    """
    text = _page(script, SHEETS)
    assert _cells(text, "BWMV 1") == [
        *("3", "21", "20", "5.00%", "2"),
        *("2", "12", "11", "1", "3.50"),
    ]
    assert _cells(text, "mine") == ["1", "2", "1", "100.00%", "0", *"----", "1.00"]
    assert _cells(text, "all")[:5] == ["4", "23", "21", "9.52%", "2"]
    assert "JORS 38 (1987) 423-429" in text
    assert "- mine: not known to this page" in text


def test_published_totals_stand_apart(script: Loader) -> None:
    """Published totals are those of the papers, 7234 and 6988 of Gonçalves & Resende.

    They are of all 500 instances, which is said; without sheets they are left out.
    """
    text = _page(script, SHEETS)
    section = text.partition("## What others have published")[2]
    assert "*all* 500 instances" in section
    assert _cells(section, "all") == ["7241", "7239", "7234", "7230", "7097", "6988"]
    assert "What others have published" not in _page(script, RATES)


def test_no_folder_of_the_machine_is_told(script: Loader) -> None:
    """Commands name the data's folder by a word, and other files by their names."""
    text = _page(script, SHEETS, RATES)
    assert "someone" not in text
    assert (
        "python scripts/benchmark.py sheets DATA_FOLDER/two.json.gz --out two.json\n"
        in text
    )


def test_what_is_missing_or_unsound_is_said(script: Loader) -> None:
    """Rows that are missing and plans that failed their check are counted."""
    assert "Every plan passed its check." in _page(script, SHEETS)
    rows = [{**SHEETS["rows"][0], "sound": False}]
    text = _page(script, {**SHEETS, "rows": rows})
    assert "3 of those asked for are missing." in text
    assert "1 plan did not pass its check." in text


def test_own_projects_have_their_sections(script: Loader) -> None:
    """Aims stand beside what was measured; what was not reached is no figure."""
    text = _page(script, GROWTH, OFFCUTS, PROJECTS, RATES)
    assert "1 of 2 projects" in text
    assert "(aim: 34 of 36)" in text
    assert "| 2 | 60 | 93.0% | 5 | 6 | - | - | 5 | 2.5 |" in text
    assert "is 42.5% of" in text
    assert "| 1 | 50 | 4 | 4 | 1000 | 425 | 42.5% | 3 |" in text
    assert "| 1000 | 1 | 72 | 77 | > 60 | - |" in text
    assert "| 50 | 1 | 3 | 3 | 0.1 | 0.2 |" in text
    assert "| 123,456 | 150,000 |" in text
    assert "| 229 | < 300 |" in text
    assert text.count("Some Processor") == 1
    assert "commit 0123456789ab." in text


def test_a_page_is_written(
    script: Loader, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The page goes to a file, or is printed; either way it is the same."""
    result = tmp_path / "two.json"
    result.write_text(json.dumps(SHEETS))
    main = script("benchmark_page").main
    out = tmp_path / "docs" / "page.md"
    assert main([str(result), "--out", str(out)]) == 0
    assert main([str(result)]) == 0
    assert capsys.readouterr().out == out.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("no json", "cannot be read"),
        ("[1]", "no result"),
        ('{"kind": "weather"}', "no kind of result"),
        (json.dumps({**HEAD, "kind": "growth"}), "incomplete"),
        (json.dumps({"kind": "rates"}), "incomplete"),
    ],
)
def test_what_is_no_result_is_refused(
    script: Loader,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    text: str,
    what: str,
) -> None:
    """A file of another kind ends in a 2 and one sentence; no page is written."""
    result = tmp_path / "result.json"
    result.write_text(text)
    out = tmp_path / "page.md"
    main = script("benchmark_page").main
    assert main([str(result), "--out", str(out)]) == 2
    said = capsys.readouterr().err
    assert what in said
    assert said.count("\n") == 1
    assert not out.exists()
