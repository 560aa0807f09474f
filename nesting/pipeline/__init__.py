"""The workshop day: the rooms called in order."""

from nesting.pipeline.day import plan_job as plan_job
from nesting.pipeline.ready import prepare as prepare

__all__ = ["plan_job", "prepare"]
