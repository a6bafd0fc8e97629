"""What Alembic runs: all pending migrations in one transaction, or the SQL script of them."""

from typing import Any

from alembic import context

from app.config import database_url
from app.store import models  # noqa: F401  gives Base its tables
from app.store.engine import parse_url
from app.store.migrate import migration_connection, refuse_broken_references, refuse_what_is_not_ours
from app.store.ownership import sign_database
from app.store.types import Base

OPTIONS: dict[str, Any] = {
    "target_metadata": Base.metadata,
    "render_as_batch": True,
    "transactional_ddl": True,
    "user_module_prefix": "types.",
}


def write_script(url: str) -> None:
    dialect = parse_url(url).get_dialect().name
    context.configure(dialect_name=dialect, literal_binds=True, **OPTIONS)
    with context.begin_transaction():
        context.run_migrations()


def migrate(url: str) -> None:
    refuse_what_is_not_ours(url)
    with migration_connection(url) as connection:
        context.configure(connection=connection, **OPTIONS)
        with context.begin_transaction():
            context.run_migrations()
            sign_database(connection)
            refuse_broken_references(connection)


chosen_url = context.config.attributes.get("url") or database_url()
if context.is_offline_mode():
    write_script(chosen_url)
else:
    migrate(chosen_url)
