"""How near the best a plan is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from nesting.model.plan.asked import PlanBlank


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanBound:
    """How near the best the plan is, for the materials in `scope`."""

    scope: tuple[str, ...]
    section: str = ""
    sections: tuple[str, ...] = ()
    """The sections of its material that it is about, where there are several that
    share blanks; `section` is empty then."""
    objective: str
    """``cost`` (cents), ``count`` (pieces of stock) or ``area`` (square ticks)."""
    value: int
    lower_bound: int
    proven: bool
    basis: str
    """Where the bound is from, in words; it begins with ``search`` where it is called
    proven and no one can check it again without searching as long."""
    certificate: dict[str, Any] | None = None
    """The proof in numbers, as `nesting.model.certificate` says."""

    def covers(self, material: str, section: str) -> bool:
        """Tell whether stock of a material and section is in its scope."""
        return (
            material in self.scope
            and self.section in ("", section)
            and (not self.sections or section in self.sections)
        )

    @property
    def title(self) -> str:
        """What it is about, in words: its materials and sections."""
        sections = self.section or ", ".join(self.sections)
        return f"{', '.join(self.scope)} {sections}".rstrip()

    def is_about(self, blank: PlanBlank) -> bool:
        """Tell whether a blank is in its scope: it may come from a section that is."""
        return any(
            self.covers(blank.material, section)
            for section in blank.sections or (blank.section,)
        )

    @property
    def is_by_search(self) -> bool:
        """Whether it is called proven on the word of a search alone."""
        return self.proven and self.value > 0 and self.certificate is None
