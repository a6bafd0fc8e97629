"""What takes long to load is loaded where it is used: neither the start nor the first page waits for it."""

import shutil
import subprocess
import sys

import pytest
from alembic.config import Config as AlembicConfig
from alembic.script import ScriptDirectory

from app.store import migrate
from app.store.migrate import known_revisions
from tests.serving import environment

TAKE_LONG = ("numpy", "scipy", "PIL", "alembic", "mako", "pygments")
OPEN_AND = """
import sys
from app import create_app
from app.config import read_config
from app.serving import prepare_database

url = sys.argv[1]
database = prepare_database(url)
app = create_app(read_config(url))
{then}
print(*sorted(sys.modules.keys() & {names!r}))
"""
FIRST_PAGE = """
page = app.test_client().get("/bench")
assert page.status_code == 200 and b'class="batch' in page.data, page.data
"""
PLAN = """
from app.planning.schedule import make_plan
assert make_plan((), (), dict()).fits
"""


def _loaded(file, then):
    code = OPEN_AND.format(then=then, names=set(TAKE_LONG))
    ended = subprocess.run(
        [sys.executable, "-c", code, f"sqlite:///{file}"],
        cwd=file.parent,
        env=environment(),
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr
    return ended.stdout.split()


@pytest.fixture
def demo_copy(demo_file, tmp_path):
    return shutil.copy(demo_file, tmp_path / "demo.sqlite")


def test_the_first_page_waits_for_nothing_that_takes_long_to_load(demo_copy):
    assert _loaded(demo_copy, FIRST_PAGE) == []


def test_a_plan_loads_what_it_needs(demo_copy):
    assert "numpy" in _loaded(demo_copy, PLAN)


def test_a_new_file_is_migrated(tmp_path):
    assert "alembic" in _loaded(tmp_path / "new.sqlite", "")


def test_the_revisions_that_are_read_from_the_files_are_those_of_alembic():
    scripts = ScriptDirectory.from_config(AlembicConfig(toml_file=migrate.PROJECT_FILE))
    assert known_revisions() == tuple(script.revision for script in scripts.walk_revisions())
    assert known_revisions()[0] == scripts.get_current_head()
