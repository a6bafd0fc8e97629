"""Let opening hours and shifts pass midnight: from 1440 on, minutes are of the next date.

Hours until midnight were stored as 23:59, because 24:00 was not allowed.
"""

from alembic import op

revision = "d41c7e9b0a35"
down_revision = "5b0d9c27e4f1"
branch_labels = None
depends_on = None

OPENING, SHIFTS = ("opening_weekday", "opening_exception"), ("weekday_shift", "day_shift")


def upgrade() -> None:
    for table in OPENING:
        _change_check(table, "opens BETWEEN 0 AND 1439 AND closes > opens AND closes <= opens + 1440")
        op.execute(f"UPDATE {table} SET closes = 1440 WHERE closes = 1439")
    for table in SHIFTS:
        _change_check(table, "starts BETWEEN 0 AND 2879 AND ends > starts AND ends <= starts + 1440")
        op.execute(f"UPDATE {table} SET ends = 1440 WHERE ends = 1439")


def downgrade() -> None:
    for table in OPENING:
        op.execute(f"DELETE FROM {table} WHERE opens >= 1439")
        op.execute(f"UPDATE {table} SET closes = 1439 WHERE closes > 1439")
        _change_check(table, "opens >= 0 AND opens < closes AND closes <= 1439")
    for table in SHIFTS:
        op.execute(f"DELETE FROM {table} WHERE starts >= 1439")
        op.execute(f"UPDATE {table} SET ends = 1439 WHERE ends > 1439")
        _change_check(table, "starts >= 0 AND starts < ends AND ends <= 1439")


def _change_check(table: str, condition: str) -> None:
    with op.batch_alter_table(table) as batch:
        name = op.f(f"ck_{table}_hours")
        batch.drop_constraint(name, type_="check")
        batch.create_check_constraint(name, condition)
