"""Write docs/benchmarks.md from result files.

    python scripts/benchmark_page.py RESULT.json ... --out docs/benchmarks.md

The results are those of benchmark.py, project_bars.py, growth.py and rates.py, in any
number and order. Nothing is measured here, and nothing on the page comes from elsewhere
than from the results and from the table of published values (`bench/published.py`).
Exit codes: 0 done, 2 bad input or usage.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from bench.page import PageError, page

BAD_INPUT = 2


def read(paths: Sequence[Path]) -> list[dict[str, Any]]:
    """Read result files; raises PageError for what is none."""
    results = []
    for path in paths:
        try:
            result = json.loads(path.read_text(encoding="utf-8"))
        except (OSError, ValueError) as error:
            raise PageError(f"{path} cannot be read: {error}") from error
        if not isinstance(result, dict) or "kind" not in result:
            raise PageError(f"{path} is no result of a measurement")
        results.append(result)
    return results


def main(arguments: Sequence[str] | None = None) -> int:
    """Write the page; return the exit code."""
    parser = argparse.ArgumentParser(
        prog="benchmark_page.py", description="Write the page of benchmarks."
    )
    parser.add_argument("results", type=Path, nargs="+", metavar="RESULT.json")
    parser.add_argument(
        "--out", type=Path, metavar="PAGE.md", help="else it is printed"
    )
    asked = parser.parse_args(arguments)
    try:
        text = page(read(asked.results))
        if asked.out is not None:
            asked.out.parent.mkdir(parents=True, exist_ok=True)
            asked.out.write_text(text, encoding="utf-8", newline="\n")
    except (PageError, OSError) as error:
        print(f"benchmark_page.py: {error}", file=sys.stderr)
        return BAD_INPUT
    if asked.out is None:
        print(text, end="")
    return 0


if __name__ == "__main__":
    sys.exit(main())
