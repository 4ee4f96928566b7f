"""What all tests share: the `--deep` option and the counts of the tests that use it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

_COUNTS = pytest.StashKey[dict[str, int]]()


def pytest_addoption(parser: pytest.Parser) -> None:
    """--deep: property tests run in full; without it a tenth of their cases."""
    parser.addoption("--deep", action="store_true", default=False, help="run property tests in full, not a tenth of them")


def pytest_configure(config: pytest.Config) -> None:
    """The counts of this run, and the mark of cases that only --deep runs."""
    config.addinivalue_line("markers", "deep: a case that only --deep runs")
    config.stash[_COUNTS] = {}


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Without --deep, cases marked deep are left out."""
    if not config.getoption("--deep"):
        left_out = [item for item in items if item.get_closest_marker("deep")]
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in left_out]


@pytest.fixture(scope="session", autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """The tests keep their drawings in a folder of their own, not in the user's."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        yield


@pytest.fixture
def deep_count(request: pytest.FixtureRequest) -> Callable[[int], int]:
    """`deep_count(2000)` is 2000 with --deep and 200 without; the number is printed at the end of the run."""

    def count(full: int) -> int:
        cases = full if request.config.getoption("--deep") else max(1, full // 10)
        request.config.stash[_COUNTS][request.node.nodeid] = cases
        # Workers of pytest-xdist report through the user properties of the test.
        request.node.user_properties.append(("deep_count", cases))
        return cases

    return count


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """Says how many cases the property tests ran."""
    counts = dict(config.stash[_COUNTS])
    for reports in terminalreporter.stats.values():
        for report in reports:
            for name, value in getattr(report, "user_properties", ()):
                if name == "deep_count":
                    counts[report.nodeid] = value
    if counts:
        deep = config.getoption("--deep")
        terminalreporter.section("property tests, in full" if deep else "property tests, a tenth of the full number (--deep runs all)")
        for name, cases in sorted(counts.items()):
            terminalreporter.write_line(f"{cases:6d}  {name}")
