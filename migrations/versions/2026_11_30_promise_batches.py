"""Promise batches instead of balloons: new settings, and float plans with scatter, promise, light and wind.

Open orders are calculated again when a setting is saved next; until then their batches keep what was promised.
"""

import json
from collections.abc import Callable
from typing import Any

import sqlalchemy as sa
from alembic import context, op

revision = "8d2f60b91c4e"
down_revision = "9d3b6f0c7e41"
branch_labels = None
depends_on = None

RENAMED = {
    "air_hours_indoors": "light_hours_air_indoors",
    "air_hours_shade": "light_hours_shade",
    "air_hours_sun": "light_hours_sun",
}
RIBBON_G = 0.75
"""What 1.5 m of ribbon weigh: the load that a shop entered was for ribbon and tag together."""

setting = sa.table("setting", sa.column("key", sa.Text()), sa.column("value", sa.Text()))
batch = sa.table("batch", sa.column("id", sa.Integer()), sa.column("float_plan", sa.Text()))


def upgrade() -> None:
    if context.is_offline_mode():
        return  # a script is for a new store, which has no rows yet
    for was, now in RENAMED.items():
        _rename_setting(was, now)
    _move_load("load_g", "tag_g", -RIBBON_G)
    _change_plans(_with_promise)


def downgrade() -> None:
    if context.is_offline_mode():
        return
    for was, now in RENAMED.items():
        _rename_setting(now, was)
    _move_load("tag_g", "load_g", RIBBON_G)
    _change_plans(_without_promise)


def _rename_setting(was: str, now: str) -> None:
    op.get_bind().execute(sa.update(setting).where(setting.c.key == was).values(key=now))


def _move_load(was: str, now: str, grams: float) -> None:
    """Renames the setting of a load, if the shop has it, and adds grams to it."""
    connection = op.get_bind()
    load = connection.scalar(sa.select(setting.c.value).where(setting.c.key == was))
    if load is not None:
        value = json.dumps(max(0.0, round(float(json.loads(load)) + grams, 3)))
        connection.execute(sa.update(setting).where(setting.c.key == was).values(key=now, value=value))


def _change_plans(change: Callable[[dict[str, Any]], dict[str, Any]]) -> None:
    """Writes what change returns for the float plan of each batch."""
    connection = op.get_bind()
    for row in connection.execute(sa.select(batch.c.id, batch.c.float_plan)).all():
        plan = json.dumps(change(json.loads(row.float_plan)))
        connection.execute(sa.update(batch).where(batch.c.id == row.id).values(float_plan=plan))


def _with_promise(plan: dict[str, Any]) -> dict[str, Any]:
    """Returns the plan as it was promised: one balloon, no limit of light, no wind."""
    spread = plan.pop("spread")
    legs = [[ends, loss_rate, 0.0] for ends, loss_rate in plan["legs"]]
    return plan | {
        "scatter": {"total": spread, "of_balloons": 0.0},
        "promise": {"at_least": 1, "of": 1},
        "legs": legs,
        "wind": "safe",
    }


def _without_promise(plan: dict[str, Any]) -> dict[str, Any]:
    """Returns the plan with one spread for all, and without promise, light and wind."""
    spread = plan["scatter"]["total"]
    legs = [[ends, loss_rate] for ends, loss_rate, _ in plan["legs"]]
    added = ("scatter", "promise", "wind", "starts_by")
    left = {name: value for name, value in plan.items() if name not in added}
    return left | {"spread": spread, "legs": legs}
