import io
import shutil
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from sqlalchemy import CheckConstraint, inspect, text
from sqlalchemy.exc import DatabaseError

from app.store import migrate
from app.store.migrate import BrokenReferences, current, downgrade, is_current, upgrade

ROOT = Path(__file__).resolve().parents[2]

STEPS = {
    "one": """
        op.create_table("design", sa.Column("id", sa.Integer(), primary_key=True), sa.Column("name", sa.Text()))
        op.create_table(
            "part",
            sa.Column("id", sa.Integer(), primary_key=True),
            sa.Column("design_id", sa.Integer(), sa.ForeignKey("design.id", ondelete="CASCADE"), nullable=False),
        )
        op.execute("INSERT INTO design VALUES (1, 'bouquet')")
        op.execute("INSERT INTO part VALUES (1, 1)")
    """,
    "two": """
        with op.batch_alter_table("design") as batch:
            batch.alter_column("name", existing_type=sa.Text(), nullable=False)
    """,
    "three": """
        op.create_table("half", sa.Column("id", sa.Integer(), primary_key=True))
        op.execute("INSERT INTO design VALUES (2, 'column')")
        op.execute("INSERT INTO nowhere VALUES (1)")
    """,
}
ORPHAN = {"one": STEPS["one"], "two": 'op.execute("DELETE FROM design")'}


def _write_step(folder, name, body, previous):
    lines = "\n".join(line.removeprefix("    ") for line in body.strip("\n").splitlines())
    (folder / f"{name}.py").write_text(
        "import sqlalchemy as sa\nfrom alembic import op\n\n"
        f"revision = {name!r}\ndown_revision = {previous!r}\n\n\n"
        f"def upgrade() -> None:\n    {lines.strip()}\n\n\n"
        "def downgrade() -> None:\n    raise NotImplementedError\n"
    )


@pytest.fixture
def write_steps(tmp_path, monkeypatch):
    """Puts migrations of the test's own under the real configuration and the real env.py."""
    versions = tmp_path / "project" / "migrations" / "versions"
    versions.mkdir(parents=True)
    shutil.copy(ROOT / "migrations" / "env.py", versions.parent)
    monkeypatch.setattr(migrate, "PROJECT_FILE", Path(shutil.copy(ROOT / "pyproject.toml", versions.parents[1])))

    def write(steps):
        previous = None
        for name, body in steps.items():
            _write_step(versions, name, body, previous)
            previous = name

    return write


def _rows(store, table):
    with store.reading() as session:
        return session.execute(text(f"SELECT * FROM {table} ORDER BY id")).all()


def _tables(store):
    with store.engine.connect() as connection:
        return set(inspect(connection).get_table_names())


def test_it_works(store, store_url, write_steps):
    write_steps({"one": STEPS["one"]})
    assert current(store_url) is None
    assert not is_current(store_url)
    upgrade(store_url)
    assert current(store_url) == "one"
    assert is_current(store_url)
    assert _rows(store, "part") == [(1, 1)]


def test_a_revision_can_be_named(store_url, write_steps):
    write_steps(STEPS)
    upgrade(store_url, "two")
    assert current(store_url) == "two"
    assert not is_current(store_url)


def test_rebuilding_a_parent_keeps_its_children(sqlite_store, sqlite_database, write_steps):
    write_steps(STEPS)
    upgrade(sqlite_database, "two")
    assert _rows(sqlite_store, "design") == [(1, "bouquet")]
    assert _rows(sqlite_store, "part") == [(1, 1)]
    with sqlite_store.engine.connect() as connection:
        (key,) = inspect(connection).get_foreign_keys("part")
    assert (key["referred_table"], key["options"]) == ("design", {"ondelete": "CASCADE"})


def test_a_failed_migration_leaves_nothing_half_done(store, store_url, write_steps):
    write_steps(STEPS)
    upgrade(store_url, "one")
    with pytest.raises(DatabaseError, match="nowhere"):
        upgrade(store_url)
    assert current(store_url) == "one"
    assert "half" not in _tables(store)
    assert _rows(store, "design") == [(1, "bouquet")]


def test_a_migration_that_breaks_a_reference_is_undone(sqlite_store, sqlite_database, write_steps):
    write_steps(ORPHAN)
    upgrade(sqlite_database, "one")
    with pytest.raises(BrokenReferences, match=r"^1 .*: part → design"):
        upgrade(sqlite_database)
    assert current(sqlite_database) == "one"
    assert _rows(sqlite_store, "design") == [(1, "bouquet")]


def test_a_shop_open_during_a_migration_still_has_its_foreign_keys_after(
    sqlite_store, sqlite_database, write_steps
):
    write_steps({"one": STEPS["one"]})
    sqlite_store.check()
    upgrade(sqlite_database)
    with sqlite_store.writing() as session:
        session.execute(text("DELETE FROM design"))
    assert _rows(sqlite_store, "part") == []


def test_migrations_can_be_written_as_a_script(store_url, write_steps):
    write_steps({"one": STEPS["one"]})
    output = io.StringIO()
    config = Config(toml_file=migrate.PROJECT_FILE, attributes={"url": store_url}, output_buffer=output)
    command.upgrade(config, "head", sql=True)
    script = output.getvalue()
    assert script.startswith("BEGIN")
    assert "CREATE TABLE part" in script
    assert script.rstrip().endswith("COMMIT;")
    assert current(store_url) is None


def test_the_command_line_takes_its_address_from_the_environment(sqlite_database, write_steps, monkeypatch):
    write_steps({"one": STEPS["one"]})
    monkeypatch.setenv("DATABASE_URL", sqlite_database)
    command.upgrade(Config(toml_file=migrate.PROJECT_FILE), "head")
    assert current(sqlite_database) == "one"


# The shop's own migrations


def _drift(store):
    from app.store import models  # noqa: F401, PLC0415  only these tests need the shop's tables
    from app.store.types import Base  # noqa: PLC0415

    with store.engine.connect() as connection:
        return compare_metadata(MigrationContext.configure(connection), Base.metadata)


def test_the_shop_grows_from_nothing_to_what_the_models_say(store, store_url):
    upgrade(store_url)
    assert is_current(store_url)
    assert {"alembic_version"} < _tables(store)
    assert _drift(store) == []
    store.check()


def test_the_shop_can_go_back_and_forth(store, store_url):
    upgrade(store_url)
    grown = _tables(store)
    downgrade(store_url, "base")
    assert current(store_url) is None
    assert _tables(store) == {"alembic_version"}
    upgrade(store_url)
    assert _tables(store) == grown
    assert _drift(store) == []


def test_the_residual_pressure_that_a_shop_set_keeps_its_value(store, store_url):
    upgrade(store_url, "4c1e8d27b5a0")
    with store.writing() as session:
        session.execute(text("INSERT INTO setting (key, value) VALUES ('cylinder_rest_bar', '3.5')"))
    upgrade(store_url)
    with store.reading() as session:
        assert session.execute(text("SELECT key, value FROM setting")).all() == [("cylinder_residual_bar", "3.5")]


def test_hours_until_midnight_that_were_stored_a_minute_short_become_whole(store, store_url):
    upgrade(store_url, "c18e5a7d20b4")
    with store.writing() as session:
        session.execute(text("INSERT INTO opening_weekday VALUES (0, 480, 1080), (4, 1080, 1439)"))
        session.execute(text("INSERT INTO day_shift VALUES (1, '2026-12-31', 1080, 1439, 2)"))
    upgrade(store_url)
    with store.writing() as session:
        read = text("SELECT opens, closes FROM opening_weekday ORDER BY weekday")
        assert session.execute(read).all() == [(480, 1080), (1080, 1440)]
        assert session.execute(text("SELECT starts, ends FROM day_shift")).all() == [(1080, 1440)]
        session.execute(text("INSERT INTO opening_weekday VALUES (5, 1080, 1560)"))
    downgrade(store_url, "c18e5a7d20b4")
    with store.reading() as session:
        assert session.execute(read).all() == [(480, 1080), (1080, 1439), (1080, 1439)]


def _checks_of_models():
    from app.store import models  # noqa: F401, PLC0415  only these tests need the shop's tables
    from app.store.types import Base  # noqa: PLC0415

    return {
        (table.name, check.name): str(check.sqltext)
        for table in Base.metadata.tables.values()
        for check in table.constraints
        if isinstance(check, CheckConstraint)
    }


def _checks_in(store):
    with store.engine.connect() as connection:
        looked = inspect(connection)
        return {
            (table, check["name"]): check["sqltext"]
            for table in looked.get_table_names()
            for check in looked.get_check_constraints(table)
        }


def test_the_migrations_check_what_the_models_check(sqlite_store, sqlite_database):
    """Alembic compares no CHECK."""
    upgrade(sqlite_database)
    checks = _checks_of_models()
    assert ("orders", "ck_orders_state") in checks
    assert _checks_in(sqlite_store) == checks


@pytest.mark.database
def test_postgresql_has_the_same_checks(open_store, postgres_database):
    """It words them its own way, so that only their names are compared."""
    upgrade(postgres_database)
    assert _checks_in(open_store(postgres_database)).keys() == _checks_of_models().keys()


def test_drift_would_be_seen(sqlite_store, sqlite_database):
    upgrade(sqlite_database)
    with sqlite_store.writing() as session:
        session.execute(text("CREATE TABLE unknown_to_the_models (id integer PRIMARY KEY)"))
    (difference,) = _drift(sqlite_store)
    assert difference[0] == "remove_table"
