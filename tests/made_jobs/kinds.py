"""What is known of a made job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from nesting.model.job import Job


class Verdict(StrEnum):
    """What a made job must come to."""

    FITS = "fits"
    TOO_LARGE = "a part larger than any sheet"
    GRAIN = "a part whose grain forbids its only way to lie"
    TOO_LONG = "a part longer than any stick"
    FEW_SHEETS = "too little sheet"
    FEW_STICKS = "too few sticks"
    SHORT_RAIL = "a rail shorter than any sheet"
    TOO_THICK = "stock thicker than the saws cut"
    TOO_WIDE = "a section wider than the saw crosscuts"
    NO_RIP = "a strip to be ripped without a fence"


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeJob:
    """A job and what is known of it."""

    seed: int
    verdict: Verdict
    job: Job
    blame: frozenset[str] = frozenset()
    """The parts a refusal is about."""
    names_all: bool = True
    """Whether a refusal must name all of them, or at least one."""
    used: Mapping[str, int] = field(default_factory=dict)
    """How many of each stock, by its id, a job that fits was made of."""
    traits: tuple[str, ...] = ()
    """What is special about it, for a table of what fails."""
