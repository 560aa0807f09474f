"""The plan made by hand is sound, and the room stands alone."""

from __future__ import annotations

import subprocess
import sys

from nesting.model.plan import Plan
from nesting.verify import verify


def test_a_sound_plan_breaks_no_rule(sound: Plan) -> None:
    """Every size, place and sum worked out on paper agrees with the checker."""
    assert verify(sound) == ()
