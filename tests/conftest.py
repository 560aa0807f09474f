"""One hypothesis profile for every test: the same examples on every run.

`pytest --fresh 20` draws other examples, and twenty times as many.
"""

import pytest
from hypothesis import is_hypothesis_test, settings

_SETTINGS = "_hypothesis_internal_use_settings"

settings.register_profile("nesting", derandomize=True, deadline=None)
settings.load_profile("nesting")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Let whoever looks for rare cases draw more of them, and new ones."""
    parser.addoption("--fresh", type=int, metavar="TIMES", help="draw new examples")


def pytest_collection_modifyitems(
    config: pytest.Config, items: list[pytest.Item]
) -> None:
    """Let every drawn test draw anew, and more."""
    times = config.getoption("--fresh")
    if not times:
        return
    drawn = {
        function
        for item in items
        if is_hypothesis_test(function := getattr(item, "obj", None))
    }
    for function in drawn:
        now = getattr(function, _SETTINGS, settings.default)
        most = now.max_examples * times
        fresh = settings(now, derandomize=False, deadline=None, max_examples=most)
        setattr(function, _SETTINGS, fresh)
