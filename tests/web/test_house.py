"""How the house stands: the arrows between its rooms, and its settings from the environment."""

import ast
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from app.config import KNOWN_SETTINGS, OWN_HOSTS, UnknownSetting, read_config

ROOT = Path(__file__).resolve().parents[2]
PURE = [
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for room in ("physics", "planning", "craft", "quoting")
    for path in sorted((ROOT / "app" / room).rglob("*.py"))
    if path.name != "__init__.py"
]

BLOCKED = """
import sys

class Wall:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in ("flask", "sqlalchemy", "werkzeug", "jinja2", "wtforms", "alembic"):
            raise ImportError(f"the pure rooms know nothing of {name}")

sys.meta_path.insert(0, Wall())
"""

PROMPT = """
from app.physics.air import lift_g_per_l
from app.physics.leak import float_hours
from app.physics.promise import Scatter, chance_of, promise_of
assert 1.0 < lift_g_per_l(20.0) < 1.04
assert float_hours(11, 3.0) > 10
assert float_hours(3, 3.0) == 0.0
assert 0.49 < chance_of(1.0, Scatter(0.25)) < 0.51
assert chance_of(1.3, Scatter(0.25, 0.05), promise_of(24)) < chance_of(1.3, Scatter(0.25, 0.05))
"""


def _python(code):
    return subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)


def test_the_arrows_between_the_rooms_run_one_way():
    linter = Path(sys.executable).with_name("lint-imports")
    said = subprocess.run([linter, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert said.returncode == 0, said.stdout + said.stderr
    assert "0 broken" in said.stdout


def test_every_pure_room_is_looked_at():
    assert {"app.physics.leak", "app.planning.schedule", "app.craft.bouquet", "app.quoting.quote"} < set(PURE)


def test_the_pure_rooms_work_without_flask_and_sqlalchemy():
    said = _python(BLOCKED + "\n".join(f"import {module}" for module in PURE))
    assert said.returncode == 0, said.stderr


def test_the_words_that_the_store_knows_of_quoting_are_pure():
    said = _python(BLOCKED + "import app.quoting.policy, app.quoting.request, app.quoting.states")
    assert said.returncode == 0, said.stderr


def test_the_wall_of_that_test_holds():
    assert _python(BLOCKED + "import app.actions.orders.take").returncode != 0


def test_the_pure_rooms_answer_from_a_python_prompt():
    said = _python(BLOCKED + PROMPT)
    assert said.returncode == 0, said.stderr


@pytest.mark.parametrize("room", ["physics", "planning", "craft", "quoting"])
def test_the_pure_rooms_never_read_the_clock(room):
    for path in (ROOT / "app" / room).rglob("*.py"):
        assert not _reads_the_clock(path), f"{path.name} reads the clock"


def test_the_other_rooms_read_the_one_clock_only():
    readers = {path.relative_to(ROOT).as_posix() for path in (ROOT / "app").rglob("*.py") if _reads_the_clock(path)}
    measuring = {"app/planner.py", "app/stopping.py"}  # how long something takes, not what time it is
    noting = {
        f"app/{name}.py"
        for name in ("__init__", "serving", "file_checker", "web/errors", "web/long_work", "places/health/routes")
    }
    assert readers == {"app/web/clock.py", "app/web/requests.py", *measuring, *noting}
    assert "clock.now()" in (ROOT / "app" / "web" / "requests.py").read_text(encoding="utf-8")


def _reads_the_clock(path):
    source = path.read_text(encoding="utf-8")
    return any(clock in source for clock in (".now(", ".utcnow(", ".today(", "\nimport time\n", "time.time("))


def test_only_the_config_reads_the_environment():
    readers = [
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "app").rglob("*.py")
        if any(word in path.read_text(encoding="utf-8") for word in ("os.environ", "getenv"))
    ]
    assert readers == ["app/config.py"]


def test_nothing_is_built_from_a_row_by_position():
    found = {
        f"{path.relative_to(ROOT).as_posix()}: {ast.unparse(call)}"
        for path in (ROOT / "app").rglob("*.py")
        for call in _calls_of_classes(path)
        if any(isinstance(given, ast.Starred) and isinstance(given.value, ROW_LIKE) for given in call.args)
        and ast.unparse(call.func) not in TAKE_ANY_NUMBER
    }
    assert found == set()


def test_what_the_store_builds_it_builds_by_name():
    found = {
        f"{path.relative_to(ROOT).as_posix()}: {ast.unparse(call)}"
        for path in (ROOT / "app" / "store").rglob("*.py")
        for call in _calls_of_classes(path)
        if len(call.args) > 3 and ast.unparse(call.func) not in TAKE_ANY_NUMBER
    }
    assert found == set()


def test_a_call_by_position_would_be_seen(tmp_path):
    module = tmp_path / "module.py"
    module.write_text("rows = [BoardRow(*row[1:]) for row in found]\nraise Refused(*problems)\nprint(*row)\n")
    found = {ast.unparse(call): call for call in _calls_of_classes(module)}
    assert found.keys() == {"BoardRow(*row[1:])", "Refused(*problems)"}
    assert isinstance(found["BoardRow(*row[1:])"].args[0].value, ROW_LIKE)


ROW_LIKE = (ast.Name, ast.Subscript, ast.Attribute)
TAKE_ANY_NUMBER = ("Refused", "Index")
"""Their arguments are alike, so no two of them can be swapped."""


def _calls_of_classes(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call)]
    return [call for call in calls if ast.unparse(call.func).rpartition(".")[2].lstrip("_")[:1].isupper()]


@pytest.mark.parametrize("name", KNOWN_SETTINGS)
def test_every_setting_from_the_environment_is_in_the_readme(name):
    assert name in (ROOT / "README.md").read_text(encoding="utf-8")


MOST_WORDS = 900


def test_the_readme_is_short():
    assert len((ROOT / "README.md").read_text(encoding="utf-8").split()) <= MOST_WORDS


def test_the_readme_has_the_picture_that_it_shows():
    for picture in re.findall(r"!\[[^]]+\]\(([^)]+)\)", (ROOT / "README.md").read_text(encoding="utf-8")):
        assert (ROOT / picture).is_file()


@pytest.fixture
def clean(monkeypatch):
    for name in KNOWN_SETTINGS:
        monkeypatch.delenv(name, raising=False)
    return monkeypatch


def test_the_default_is_one_file_in_the_folder_one_starts_from(clean, tmp_path):
    clean.chdir(tmp_path)
    config = read_config()
    assert config.database_url == f"sqlite:///{tmp_path / 'stillaloft.sqlite'}"
    assert config.trusted_hosts == OWN_HOSTS


def test_the_environment_says_where_the_orders_are_and_who_is_trusted(clean):
    clean.setenv("DATABASE_URL", "postgresql://aloft@db/shop")
    clean.setenv("STILLALOFT_HOSTS", "counter.test, ,bench.test ")
    config = read_config()
    assert config.database_url == "postgresql://aloft@db/shop"
    assert config.trusted_hosts == (*OWN_HOSTS, "counter.test", "bench.test")


def test_a_misspelled_setting_is_refused_and_the_known_ones_are_named(clean):
    clean.setenv("STILLALOFT_HOST", "counter.test")
    with pytest.raises(UnknownSetting) as refusal:
        read_config()
    assert re.findall(r"[A-Z]+_[A-Z]+", str(refusal.value)) == ["STILLALOFT_HOST", *KNOWN_SETTINGS]


def _definitions(kind):
    for path in (ROOT / "app").rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        yield from ((path.relative_to(ROOT).as_posix(), node) for node in ast.walk(tree) if isinstance(node, kind))


def test_no_class_name_stands_twice():
    names = Counter(node.name for _, node in _definitions(ast.ClassDef) if node.name != "Meta")
    assert [name for name, times in names.items() if times > 1] == []


def test_no_action_takes_more_than_six_parameters():
    taken = {
        f"{path}:{node.name}": [arg.arg for arg in (*node.args.args, *node.args.kwonlyargs) if arg.arg != "self"]
        for path, node in _definitions(ast.FunctionDef)
        if path.startswith("app/actions/")
    }
    assert [name for name, parameters in taken.items() if len(parameters) > 6] == []
