"""A shop on a file of its own for each test, at one Saturday morning, and the people who use it."""

import gc
import shutil
from copy import copy
from datetime import UTC, datetime
from importlib import import_module
from pathlib import Path

import pytest
from hypothesis import settings
from sqlalchemy import event

import seed_demo
from app import create_app
from app.actions.records.shop import ShopCache
from app.actions.shop.new_shop import fill_new_shop, session_secret
from app.actions.shop.office import change_settings
from app.config import OWN_HOSTS, Config
from app.store.engine import Database
from app.store.migrate import upgrade
from app.store.models import BalloonTypeRow
from tests.amounts import amount, choose_deep
from tests.compiled import CompiledStatements, CompiledTemplates
from tests.made_up_material import bubble  # noqa: F401  a fixture for every test
from tests.saved_shops import begin_with, saved_shop
from tests.serving import PROJECT

SATURDAY_MORNING = datetime(2026, 11, 21, 7, 0, tzinfo=UTC)
"""In London, where the tests' shop stands, the clocks show UTC on that day."""
DEMO_NOON = datetime(2026, 11, 21, 12, 0, tzinfo=UTC)
"""The moment around which the demo is alive, for tests that look at it."""


settings.register_profile("deep", deadline=None, max_examples=100)
settings.register_profile("many", deadline=None, max_examples=30)
settings.register_profile("few", deadline=None, max_examples=20)


def pytest_addoption(parser):
    parser.addoption("--deep", action="store_true", help="try many more of the cases that are drawn by chance")
    parser.addoption("--orders", type=int, default=100_000, help="tests of speed: how many orders a shop keeps")


def pytest_configure(config):
    choose_deep(config.getoption("deep"))


def pytest_collection(session):
    """Of all files each process loads its share first: what one of them has compiled, the others only read."""
    worker, folder = getattr(session.config, "workerinput", None), PROJECT / "tests"
    if worker and [Path(one).absolute() for one in session.config.args] == [folder]:
        number = int(worker["workerid"].removeprefix("gw"))
        for file in sorted(folder.rglob("test_*.py"))[number :: worker["workercount"]]:
            choose_examples(file)
            import_module(".".join(file.relative_to(PROJECT).with_suffix("").parts))


def pytest_collectstart(collector):
    if isinstance(collector, pytest.Module):
        choose_examples(collector.path)


def choose_examples(file):
    """Physics and planning are pure and quick: there, many examples are drawn for each law; elsewhere, a few. It is
    chosen before the file is loaded."""
    pure = file.parent.name in ("physics", "planning")
    settings.load_profile(amount("many" if pure else "few", deep="deep"))


def pytest_collection_modifyitems(items):
    """Tests in a browser come first: all of them fall to one worker, which starts one browser and one server, while
    the others reckon and then take what is left to it from its end."""
    items.sort(key=lambda item: item.get_closest_marker("browser") is None)


def pytest_collection_finish():
    """What is imported and collected stays till the end: to look it through for garbage each time takes long."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)


STATEMENTS = CompiledStatements()


@pytest.fixture(scope="session")
def shop_file(tmp_path_factory):
    """A migrated file with a new shop's shelves, priced: copied for each test, never opened by one. Without spares:
    the worked cases count the work of what was ordered, and so do the tests' hours."""
    file = tmp_path_factory.mktemp("shop") / "template.sqlite"
    url = f"sqlite:///{file}"
    upgrade(url)
    database = Database(url)
    with database.writing() as session:
        fill_new_shop(session)
        session_secret(session)
        change_settings(session, {"zone": "Europe/London", "currency_symbol": "£", "spares_percent": 0})
        for balloon_type in session.query(BalloonTypeRow):
            balloon_type.price_minor = round(balloon_type.nominal_in * 10)
    STATEMENTS.learn(database.engine)
    database.engine.dispose()
    return file


def open_unsafely(file):
    """A database that does not wait for the disk: no test's file must outlive a power cut."""
    with STATEMENTS.saved():
        database = Database(f"sqlite:///{file}")
    event.listen(database.engine, "connect", lambda opened, _: opened.execute("PRAGMA synchronous=OFF"))
    return database


@pytest.fixture(scope="session")
def started(shop_file, tmp_path_factory):
    """The file of a shop with which begin(database) was done, or do(database, begin), once for all tests that begin
    so."""
    files = {}

    def file_of(begin, do=None):
        if begin not in files:
            file = tmp_path_factory.mktemp("begun") / "template.sqlite"
            shutil.copy(shop_file, file)
            database = open_unsafely(file)
            do(database, begin) if do else begin(database)
            database.engine.dispose()
            files[begin] = file
        return files[begin]

    return file_of


@pytest.fixture(scope="session")
def new_shop(shop_file, tmp_path_factory):
    """What an app keeps of the template's shop and catalogue, built once: they are those of each test until it
    changes them, which raises their version."""
    database = open_unsafely(shutil.copy(shop_file, tmp_path_factory.mktemp("new") / "shop.sqlite"))
    cache = ShopCache()
    with database.reading() as session:
        cache.load(session)
    database.engine.dispose()
    return cache


@pytest.fixture
def template(shop_file):
    """The file of which the test's shop is a copy: where many tests begin alike, another one."""
    return shop_file


@pytest.fixture
def database(template, new_shop, tmp_path):
    file = tmp_path / "shop.sqlite"
    shutil.copy(template, file)
    database = open_unsafely(file)
    begin_with(database, copy(new_shop))
    yield database
    database.engine.dispose()


class StillClock:
    """The shop's clock, which goes on only when told."""

    def __init__(self, moment):
        self._moment = moment

    def __call__(self):
        return self._moment

    def tick(self, passed):
        self._moment += passed

    def move_to(self, moment):
        self._moment = moment


@pytest.fixture
def now(monkeypatch):
    """The clock stands still; a test that lets time pass ticks it.

    The one clock is enough: `tests/web/test_house.py` sees to it that nothing else in the app asks for the time.
    """
    clock = StillClock(SATURDAY_MORNING)
    monkeypatch.setattr("app.web.clock.now", clock)
    # Tokens and cookies are signed by the hour.
    monkeypatch.setattr("itsdangerous.TimestampSigner.get_timestamp", lambda _: int(clock().timestamp()))
    return clock


@pytest.fixture
def noon(now):
    """The tests' clock at noon."""
    now.move_to(SATURDAY_MORNING.replace(hour=12))


@pytest.fixture
def session(database):
    with database.writing() as session:
        yield session


@pytest.fixture
def shop(session):
    return saved_shop(session).shop


@pytest.fixture
def catalogue(session):
    return saved_shop(session).catalogue


COMPILED = CompiledTemplates(PROJECT / "app" / "templates")


def _build(url, hosts=OWN_HOSTS, **settings):
    with STATEMENTS.saved():
        app = create_app(Config(url, hosts, **settings))
    app.jinja_env.bytecode_cache = COMPILED
    return app


@pytest.fixture
def build_app():
    """Builds apps as they are served, and closes their databases when the test ends."""
    built = []

    def build(url, hosts=OWN_HOSTS, **settings):
        built.append(_build(str(url), hosts, **settings))
        return built[-1]

    yield build
    for app in built:
        app.database.engine.dispose()


@pytest.fixture(scope="session")
def demo_file(shop_file, tmp_path_factory):
    """The demo in a file as its command leaves it: copied where something happens to it afterwards."""
    file = shutil.copy(shop_file, tmp_path_factory.mktemp("demo") / "demo.sqlite")
    database = open_unsafely(file)
    with database.writing() as session:
        assert seed_demo.fill_shop(session, DEMO_NOON) == len(seed_demo.DEMO_ORDERS)
    database.engine.dispose()
    return file


@pytest.fixture(scope="session")
def shared_app(shop_file, tmp_path_factory):
    """Built once for all tests of this process, which put their own database in; forms need no token."""
    file = tmp_path_factory.mktemp("app") / "shop.sqlite"
    shutil.copy(shop_file, file)
    app = _build(f"sqlite:///{file}")
    app.database.engine.dispose()
    app.config.update(TESTING=True, WTF_CSRF_ENABLED=False)
    return app


@pytest.fixture
def app(shared_app, database, new_shop, now):
    """The app on the test's own shop; a test that changes the app itself builds one."""
    shared_app.database = open_unsafely(database.engine.url.database)
    shared_app.forget()
    shared_app.shop_cache = copy(new_shop)
    yield shared_app
    shared_app.database.engine.dispose()


@pytest.fixture
def client(app):
    return app.test_client()
