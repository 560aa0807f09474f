"""One hypothesis profile for every test: the same examples on every run."""

from hypothesis import settings

settings.register_profile("nesting", derandomize=True, deadline=None)
settings.load_profile("nesting")
