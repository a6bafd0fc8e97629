"""How long the planner takes after one tap, and until the board shows the new plan.

Skipped unless asked for: pytest tests/speed --benchmark-only -n0. Nothing is asserted about time.
"""

import re
import time
from datetime import UTC, datetime

import pytest

from app.actions.bench.taps import Press, tap_batch
from app.planner import Planner
from app.quoting.states import TapAction
from app.store.engine import Database
from app.store.models import OrderBatch
from tests.actions.builders import ctx
from tests.speed.lines import filled, tomorrow_noon
from tests.speed.shops import BATCHES, fill_full_day, fill_open_orders


@pytest.mark.parametrize(
    ("name", "fill", "aim"),
    [("70 orders besides the demo", fill_open_orders, 0.1), (f"{BATCHES} batches", fill_full_day, 0.3)],
)
def test_the_planner_after_one_tap(note, shop_file, tmp_path, name, fill, aim):
    database = Database(f"sqlite:///{filled(shop_file, tmp_path, fill)}")
    planner = Planner(database)
    planner.plan_now()
    with database.writing() as session:
        batch = session.query(OrderBatch).order_by(OrderBatch.inflate_by.desc()).first()
        now = datetime.now(UTC).replace(microsecond=0)
        tap_batch(ctx(session, now=now), batch.key, Press(TapAction.START, "speed-tap", sure=True))
    began = time.process_time()
    planner.plan_now()
    note(f"the planner's time after one tap, {name}", time.process_time() - began, "s", aim)
    database.engine.dispose()


def test_from_a_tap_to_its_plan_on_the_board(note, shop_line):
    """Asks for the board until it no longer says that its times are being updated."""
    path = f"/bench?day={tomorrow_noon():%Y-%m-%d}"
    _await_plan(shop_line, path)
    page = shop_line.ask(path)
    token = re.search(r'name="csrf_token" value="([^"]+)"', page)[1]
    key = re.findall(r'id="batch-([^"]+)"', page)[-1]
    shop_line.ask(f"/bench/batches/{key}/taps", 303,
                  body=f"csrf_token={token}&client_key=speedtapspeedtap&act=start&sure=yes")  # fmt: skip
    began = time.monotonic()
    _await_plan(shop_line, path)
    note(f"from a tap to its plan on the board of {BATCHES} batches", time.monotonic() - began, "s", aim=0.5)


def _await_plan(line, path):
    while "data-stale" in line.ask(path):
        time.sleep(0.02)
