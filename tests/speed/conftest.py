"""Prints what was measured as ratios to an empty page of the same run."""

import pytest

ONE = "hello"
RESULTS = pytest.StashKey()


@pytest.fixture
def measure(benchmark, request):
    """measure(name, call) times a call and keeps its median for the table at the end."""

    def run(name, call):
        benchmark(call)
        request.config.stash.setdefault(RESULTS, {})[name] = benchmark.stats.stats.median

    return run


def pytest_terminal_summary(terminalreporter, config):
    medians = config.stash.get(RESULTS, {})
    if ONE not in medians:
        return
    terminalreporter.section("as a multiple of an empty page")
    for name, median in sorted(medians.items(), key=lambda pair: pair[1]):
        terminalreporter.write_line(f"{median / medians[ONE]:9.2f}  {median * 1000:8.2f} ms  {name}")
