"""The machines of the shop, as a plan holds them."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSaw:
    """A saw and its reach (None is no limit); no kerf: a machine that is no saw."""

    name: str
    kind: str = ""
    place: str = "shop"
    kerf: Ticks | None
    cuts: tuple[str, ...]
    longest_cut: Ticks | None = None
    widest_rip: Ticks | None = None
    widest_crosscut: Ticks | None = None
    tallest: Ticks | None = None
    smallest_piece: Ticks | None = None
    narrowest_rip: Ticks | None = None
    """The least distance between fence and blade."""
    tolerance: Ticks | None = None
    """Of a saw at the store that cuts what is carried home: how far off it may be, so
    that no part keeps so much of either side of its cuts."""
    rip_guide: str = ""
    """What guides its rips: ``fence``, ``stop`` or ``line``; empty where it makes none,
    and in plans of earlier versions. A rip along a line on a saw with a fence is made
    on the sled."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanMill:
    """A jointer or planer, and what it takes."""

    name: str
    """``jointer`` or ``planer``."""
    width: Ticks
    shortest: Ticks
    thinnest: Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanMinutes:
    """How long a setting, a cut and a sheet take, in whole minutes."""

    setting: int
    cut: int
    sheet: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSheetHaul:
    """What of a sheet is carried home, either way round."""

    length: Ticks
    width: Ticks
    cuts: int
    """The most that the store makes in one sheet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanShop:
    """The machines of the shop."""

    saws: tuple[PlanSaw, ...]
    mills: tuple[PlanMill, ...] = ()
    """The jointer and the planer, where there are."""
    minutes: PlanMinutes | None = None
    """The rates of an estimate; absent in plans of earlier versions."""
    longest_rough: Ticks | None = None
    """The longest piece of a board that is ripped; None for any."""
    haul: Ticks | None = None
    """The longest piece of lumber that is carried home; None for any."""
    haul_sheet: PlanSheetHaul | None = None
    """The largest piece of a sheet that is carried home; None for whole ones."""
