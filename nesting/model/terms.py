"""The words of the trade that are choices; their values are the plan's text."""

from __future__ import annotations

from enum import StrEnum


class Grain(StrEnum):
    """Which way the grain runs, or whether it matters."""

    LENGTH = "length"
    """Along the length (of a part, a blank or a sheet)."""
    WIDTH = "width"
    """Across the length; never on a blank: milling swaps its sides instead."""
    ANY = "any"
    """It does not matter: the blank may be turned."""


class Flow(StrEnum):
    """How the members of a run follow each other."""

    ALONG = "along"
    """End to end: the grain flows from one to the next along their length."""
    ACROSS = "across"
    """Side by side, across their width."""


class Form(StrEnum):
    """How a stock is cut."""

    SHEET = "sheet"
    """Guillotine cuts both ways."""
    BOARD = "board"
    """Crosscut, rip and resaw."""
    STICK = "stick"
    """Crosscut to length; ripped only to take a piece down to its width."""


class Plane(StrEnum):
    """Which axis of the *stock* a cut divides, whatever the saw is called."""

    CROSSCUT = "crosscut"
    """Divides the length (x)."""
    RIP = "rip"
    """Divides the width (y)."""
    RESAW = "resaw"
    """Divides the thickness (z)."""


class Guide(StrEnum):
    """What sets the distance of a cut."""

    FENCE = "fence"
    """A fence beside the blade, parallel to it."""
    STOP = "stop"
    """A stop block on a sled, gauge or crosscut fence."""
    LINE = "line"
    """A pencil line with a rail or by hand."""
    HEIGHT = "height"
    """The height of a blade or a resaw fence."""


class Origin(StrEnum):
    """Where a piece of stock comes from."""

    STORE = "store"
    """It has to be bought."""
    RACK = "rack"
    """It is owned already, whole or as an offcut."""
    BENCH = "bench"
    """It is half cut, on the bench."""


class Place(StrEnum):
    """Where a saw stands."""

    SHOP = "shop"
    STORE = "store"


class Fate(StrEnum):
    """What becomes of a piece."""

    PART = "part"
    """It is a blank."""
    OFFCUT = "offcut"
    """It is worth keeping."""
    SCRAP = "scrap"
    """It is not."""
    CUT = "cut"
    """It is cut again."""


class Purpose(StrEnum):
    """Why a cut is made."""

    TRIM = "trim"
    """Takes a factory edge or a board's end off, before it serves."""
    DIVIDE = "divide"
    """Makes a piece that is cut again."""
    HAUL = "haul"
    """Made at the store, so that the stock can be carried home."""
    SIZE = "size"
    """Brings a blank to its size."""


class ZoneKind(StrEnum):
    """What a marked rectangle of stock is, and so what may hold some of it."""

    DAMAGE = "damage"
    """No part may, and nothing with it is kept: a loose knot, a split, a dent."""
    PITH = "pith"
    """No part may; a rest with it is kept."""
    BLEMISH = "blemish"
    """No part that is to be clear may; others may, and a rest with it is kept: a sound
    knot, a stain."""


class Prefer(StrEnum):
    """What to look for among sheet plans that cost the same."""

    OFFCUTS = "offcuts"
    """Large rests that are worth keeping."""
    SETTINGS = "settings"
    """Few distances to set."""
    CUTS = "cuts"
    """Few cuts."""


class Objective(StrEnum):
    """What a plan's value and bound count."""

    COST = "cost"
    """Integer cents."""
    COUNT = "count"
    """Pieces of stock, all of one size."""
    AREA = "area"
    """Square ticks of stock, where prices are not known."""


class StoppedBy(StrEnum):
    """What ended a search."""

    PROOF = "proof"
    """Nothing better exists."""
    WORK = "work"
    """The counted work was done; the same input and seed give the same plan."""
    CLOCK = "clock"
    """The time ran out before the counted work was done."""
    CANCELLED = "cancelled"
    """The maker stopped it."""
