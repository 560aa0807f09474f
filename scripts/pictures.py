"""Draw the pictures of the documents anew: `.venv/bin/python scripts/pictures.py`.

Each is one layout of a sample, planned by counted work, so that the same code draws the
same picture on every machine.
"""

from __future__ import annotations

import sys
from pathlib import Path

from nesting import Budget, plan_job, read_job
from nesting.model.plan import Layout
from nesting.render import draw_svg

ROOT = Path(__file__).resolve().parent.parent
PICTURES = ROOT / "docs" / "pictures"
WORK = 200_000
LARGEST = 200_000
"""Bytes of the largest picture that goes into the repository."""

DRAWN = {"hall-bench-sheet.svg": ("hall-bench", "ply")}
"""File: the sample, and the material whose fullest layout it shows."""


def fullest(layouts: tuple[Layout, ...], material: str) -> str:
    """Return the id of the layout that most blanks of a material are cut from."""
    candidates = [layout for layout in layouts if layout.material == material]
    return max(
        candidates, key=lambda layout: sum(p.fate == "part" for p in layout.pieces)
    ).id


def main() -> int:
    """Write every picture; return 1 if one is too large."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    too_large = []
    for name, (sample, material) in DRAWN.items():
        job = read_job(ROOT / "samples" / sample)
        plan = plan_job(job, budget=Budget(work=WORK))
        picture = draw_svg(plan, fullest(plan.layouts, material))
        (PICTURES / name).write_bytes(picture)
        print(f"docs/pictures/{name}: {len(picture) // 1000} kB")
        if len(picture) > LARGEST:
            too_large.append(name)
    if too_large:
        print(f"larger than {LARGEST // 1000} kB: {', '.join(too_large)}")
    return 1 if too_large else 0


if __name__ == "__main__":
    sys.exit(main())
