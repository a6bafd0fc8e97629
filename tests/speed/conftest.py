"""The shops that are timed, and the table that is printed at the end: what was aimed at, what was reached."""

import shutil
from dataclasses import dataclass

import pytest

from tests.many_orders import grow
from tests.speed.lines import empty_page, filled, line_to, served
from tests.speed.shops import fill_demo, fill_full_day, fill_open_orders, fill_years, known_customers

EMPTY_PAGE, EMPTY_PAGES = "an empty page", "× an empty page"
RESULTS = pytest.StashKey()
YEARLY = 5_000
"""Orders stored in one year of a shop."""


@dataclass(frozen=True)
class Result:
    """What was measured. value: in seconds if the unit is EMPTY_PAGES, which are told at the end."""

    value: float
    unit: str
    aim: float | None


@pytest.fixture(scope="session")
def results(request):
    return request.config.stash.setdefault(RESULTS, {})


@pytest.fixture
def measure(benchmark, results):
    """measure(name, call, aim) times a call, and keeps its median as a multiple of an empty page."""

    def run(name, call, aim=None, rounds=0):
        benchmark.pedantic(call, rounds=rounds) if rounds else benchmark(call)
        results[name] = Result(benchmark.stats.stats.median, EMPTY_PAGES, aim)

    return run


@pytest.fixture
def note(benchmark, results):
    """note(name, value, unit, aim) keeps a figure that is none of many equal calls, such as bytes."""
    benchmark.pedantic(lambda: None)  # so that --benchmark-only takes the test

    def run(name, value, unit, aim=None):
        results[name] = Result(value, unit, aim)

    return run


@pytest.fixture(scope="module")
def hello_line(tmp_path_factory):
    with empty_page(tmp_path_factory.mktemp("hello")) as line:
        yield line


@pytest.fixture(scope="module")
def shop_line(shop_file, tmp_path_factory):
    """A shop with 200 batches tomorrow."""
    with served(shop_file, tmp_path_factory.mktemp("full"), fill_full_day) as port, line_to(port) as line:
        yield line


@pytest.fixture(scope="module")
def open_line(shop_file, tmp_path_factory):
    """The demo with 70 open orders besides."""
    with served(shop_file, tmp_path_factory.mktemp("open"), fill_open_orders) as port, line_to(port) as line:
        yield line


@pytest.fixture(scope="module")
def demo_line(demo_now, tmp_path_factory):
    with served(demo_now, tmp_path_factory.mktemp("demo")) as port, line_to(port) as line:
        yield line


@pytest.fixture(scope="session")
def demo_now(shop_file, tmp_path_factory):
    """The demo as it is at this moment."""
    return filled(shop_file, tmp_path_factory.mktemp("now"), fill_demo)


@pytest.fixture(scope="session")
def many_years(demo_now, tmp_path_factory, many):
    """A shop with many years of orders behind it."""
    file = shutil.copy(demo_now, tmp_path_factory.mktemp("years") / "shop.sqlite")
    grow(file, many)
    return file


@pytest.fixture(scope="session")
def many(request):
    """How many orders a shop keeps that has many: as many as the command says."""
    return request.config.getoption("orders")


@pytest.fixture(scope="module")
def year_line(shop_file, tmp_path_factory):
    """A shop that had 5,000 orders within a year."""
    fill = fill_years(YEARLY, hours_between=7)
    with served(shop_file, tmp_path_factory.mktemp("year"), fill) as port, line_to(port) as line:
        yield line


@pytest.fixture(scope="module")
def crowd_line(shop_file, tmp_path_factory):
    """A shop that knows 50,000 customers."""
    with served(shop_file, tmp_path_factory.mktemp("crowd"), known_customers) as port, line_to(port) as line:
        yield line


def pytest_terminal_summary(terminalreporter, config):
    found = config.stash.get(RESULTS, {})
    if not found:
        return
    terminalreporter.section("speed")
    empty = found[EMPTY_PAGE].value if EMPTY_PAGE in found else None
    for name, result in found.items():
        reached, unit = result.value, result.unit
        if unit == EMPTY_PAGES:
            reached, unit = (reached / empty, unit) if empty else (1000 * reached, "ms")
        aim = "" if result.aim is None else f"aim {result.aim:g}"
        terminalreporter.write_line(f"{reached:9.1f} {unit:16} {aim:10} {name}")
