"""Blanks of plywood by their names, for tests of how trees are laid out."""

from __future__ import annotations

from nesting.model.blank import Blank


def blanks(**sizes: tuple[int, int]) -> dict[str, Blank]:
    """Return blanks of length and width, 18 thick."""
    return {
        name: Blank(
            id=name,
            part=name,
            length=length,
            width=width,
            thickness=18,
            material="ply",
        )
        for name, (length, width) in sizes.items()
    }
