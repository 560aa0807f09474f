"""The one problem that goes into the solver, and the leave it has."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from nesting.model.blank import Blank, Need, Run
from nesting.model.shop import Haul, Saw, SheetHaul
from nesting.model.stock import OffcutRule, Stock
from nesting.model.terms import Prefer
from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Needs to be met from stock with these saws."""

    stock: tuple[Stock, ...]
    needs: tuple[Need, ...]
    saws: tuple[Saw, ...]
    """In the order of the maker's liking."""
    stages: int | None = 4
    """Levels of alternating cuts below a sheet (trims do not count); None for any."""
    offcuts: OffcutRule = OffcutRule()
    prefer: Prefer | None = None
    """What to look for among sheet plans that cost the same; None to leave it at the
    cost."""
    longest_rough: Ticks | None = None
    """The longest piece of a board that the maker rips; None for any."""
    haul: Haul | None = None
    """What can be carried home from the store; None for any length."""
    haul_sheet: SheetHaul | None = None
    """What of a sheet can be carried home; None for whole ones."""
    seed: int = 0
    runs: tuple[Run, ...] = ()

    @property
    def every_saw(self) -> tuple[Saw, ...]:
        """The saws, and those of stores that are none of the shop's."""
        hauls = (self.haul, self.haul_sheet)
        theirs = dict.fromkeys(haul.saw for haul in hauls if haul is not None)
        return (*self.saws, *(saw for saw in theirs if saw not in self.saws))

    @property
    def blanks(self) -> dict[str, Blank]:
        """Every blank that a build of the needs takes, by id, in their order."""
        return {
            take.blank.id: take.blank
            for need in self.needs
            for build in need.builds
            for take in build.takes
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """Where a search stands, for someone who watches."""

    scope: str
    """The material being laid out."""
    value: int
    lower_bound: int
    unplaced: int
    share: float
    """How much of the work is done, 0 to 1."""


def _never() -> bool:
    return False


def _silent(_: Progress) -> None:
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """How long a search may go on.

    `work` counts search iterations over the whole problem: two runs that end by it are
    the same. `deadline` is a reading of `time.monotonic`; with `cancelled` it is the
    outer limit, looked at between chunks of work only.
    """

    work: int = 1_000_000
    deadline: float | None = None
    cancelled: Callable[[], bool] = field(default=_never)
    progress: Callable[[Progress], None] = field(default=_silent)

    def quiet(self) -> Budget:
        """Return the same budget, told to nobody."""
        return replace(self, progress=_silent)
