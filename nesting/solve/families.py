"""Sections of lumber that belong together, because some blank may come from either."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from nesting.model.blank import Blank

Key = tuple[str, str]
"""Material and section; a sheet good has no section."""


def keys_of(blank: Blank) -> tuple[Key, ...]:
    """Return the materials and sections that a blank may be cut from."""
    return tuple((blank.material, name) for name in blank.own_sections)


def families(blanks: Iterable[Blank]) -> Mapping[Key, frozenset[Key]]:
    """Return the family of every material and section that some blank may come from.

    Returns
    -------
    Mapping
        In the order in which they are met; members of one family share one set.
    """
    found: dict[Key, frozenset[Key]] = {}
    for blank in blanks:
        keys = keys_of(blank)
        family = frozenset(keys).union(*(found.get(key, ()) for key in keys))
        for key in (*keys, *sorted(family)):
            found[key] = family
    return found
