"""The workshop day: the rooms called in order."""

from nesting.pipeline.day import plan_job as plan_job

__all__ = ["plan_job"]
