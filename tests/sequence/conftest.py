"""Tasks without sheets: made by hand or by chance."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

import pytest

from nesting.model.plan import Cut
from nesting.sequence.tasks import Key, Task


def make_forest(
    cuts: Sequence[tuple[str, int, int]], phases: Sequence[int] | None = None
) -> list[Task]:
    """Return tasks from saw, distance (0 for a pencil line) and what each waits for."""
    tasks: list[Task] = []
    for number, (saw, distance, waits) in enumerate(cuts):
        guide = "fence" if distance else "line"
        cut = Cut(
            step=0,
            piece=f"{number}",
            plane="rip",
            at=distance,
            kerf=0,
            saw=saw,
            makes=(),
            setting="",
            measure=distance,
            guide=guide,
        )
        tasks.append(
            Task(
                cut=cut,
                layout=0,
                phase=phases[number] if phases else 0,
                key=Key(saw, guide, distance),
                waits=waits,
                unlocks=[],
            )
        )
        if waits >= 0:
            tasks[waits].unlocks.append(number)
    return tasks


def draw_forest(rng: random.Random, most: int, settings: int = 4) -> list[Task]:
    """Return tasks drawn by chance: trees, one to three saws, one to three phases."""
    count = rng.randint(2, most)
    saws = ["table", "chop", "rail"][: rng.randint(1, 3)]
    last = rng.randint(0, 2)
    cuts: list[tuple[str, int, int]] = []
    phases: list[int] = []
    for number in range(count):
        waits = rng.randint(max(-1, number - 4), number - 1)
        cuts.append((rng.choice(saws), rng.randint(0, settings), waits))
        phases.append(rng.randint(0 if waits < 0 else phases[waits], last))
    return make_forest(cuts, phases)


@pytest.fixture
def forest() -> Callable[..., list[Task]]:
    """Tasks as given."""
    return make_forest


@pytest.fixture
def made_forest() -> Callable[..., list[Task]]:
    """Tasks by chance."""
    return draw_forest
