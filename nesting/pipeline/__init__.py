"""The workshop day: the rooms called in order."""

from nesting.pipeline.day import plan_job as plan_job
from nesting.pipeline.ready import prepare as prepare
from nesting.pipeline.ways import NAMES as WAYS
from nesting.pipeline.ways import plan_ways as plan_ways

__all__ = ["WAYS", "plan_job", "plan_ways", "prepare"]
