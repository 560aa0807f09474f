"""Settings: what a cut is set to, so that cuts alike are made off one setting."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nesting.model.plan import Cut, Plan, Setting, Violation
from nesting.verify.rules import Rule, broken


def check_settings(plan: Plan) -> Iterator[Violation]:
    """Hold cuts and settings against each other (rule ``setting``).

    A cut names a setting with its saw, its guide and its measure, and cuts that share
    all three share the setting: a fence at one distance serves rips and crosscuts, from
    either side. No setting is idle.
    """
    settings: Mapping[str, Setting] = {s.id: s for s in reversed(plan.settings)}
    used: set[str] = set()
    by_key: dict[tuple[object, ...], str] = {}
    for layout in plan.layouts:
        for cut in layout.cuts:
            where = f"layout {layout.id!r}, step {cut.step}"
            setting = settings.get(cut.setting)
            if setting is None:
                what = f"there is no setting {cut.setting!r}"
                yield broken(Rule.SETTING, where, what)
                continue
            yield from _agrees(cut, setting, where)
            used.add(cut.setting)
            key = (cut.saw, cut.guide, cut.measure)
            other = by_key.setdefault(key, cut.setting)
            if other != cut.setting:
                what = f"setting {cut.setting!r} is the same as {other!r}"
                yield broken(Rule.SETTING, where, what)
    for setting in plan.settings:
        if setting.id not in used:
            what = "no cut is made at it"
            yield broken(Rule.SETTING, f"setting {setting.id!r}", what)


def _agrees(cut: Cut, setting: Setting, where: str) -> Iterator[Violation]:
    for name, said, set_ in (
        ("saw", cut.saw, setting.saw),
        ("guide", cut.guide, setting.kind),
        ("measure", cut.measure, setting.distance),
    ):
        if said != set_:
            what = f"its {name} is {said}, that of setting {setting.id!r} {set_}"
            yield broken(Rule.SETTING, where, what)
