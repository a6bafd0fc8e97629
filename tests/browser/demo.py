"""The demo on a busy morning, served by this process, so that its clock can stand still."""

import tempfile
import threading
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import partial
from unittest.mock import patch

from sqlalchemy import select
from werkzeug.serving import WSGIRequestHandler, make_server

import seed_demo
from app import create_app
from app.actions.bench.taps import Press, tap_batch
from app.config import OWN_HOSTS, Config
from app.planner import Planner
from app.quoting.states import TapAction
from app.serving import prepare_database
from app.store.models import Order, OrderBatch
from tests.actions.builders import ctx

MORNING = datetime(2026, 11, 21, 9, 20, tzinfo=UTC)
"""A Saturday on which the shop's clocks show UTC: one batch is being filled, and the next ones wait."""
WHO = seed_demo.STAFF[1]
"""Who started that batch, and now works at the device of the pictures."""
IN_WORK = "Odile Marchbanks"
"""The customer whose two dozen balloons are being filled at that moment."""


@dataclass(frozen=True)
class Demo:
    """A shop as it is served. batch: the key of the one that is being filled. who: works there. goods: what the
    form of an order calls a balloon type, by its name. finish: fills what is left of the batch."""

    address: str
    batch: str = ""
    who: str = WHO
    goods: dict = field(default_factory=dict)
    finish: Callable = lambda: None


@contextmanager
def served_demo():
    """The demo at its moment, served while the block lasts; nothing of it stays."""
    with tempfile.TemporaryDirectory() as folder, patch("app.web.clock.now", lambda: MORNING):
        url = f"sqlite:///{folder}/demo.sqlite"
        prepare_database(url).engine.dispose()
        app = create_app(Config(url, OWN_HOSTS, f"{folder}/backups", is_demo=True))
        batch = _fill(app.database)
        planner = Planner(app.database)
        planner.plan_now()
        app.after_write = planner.plan_now
        server = make_server("127.0.0.1", 0, app, threaded=True, request_handler=_QuietHandler)
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        try:
            yield Demo(
                f"http://127.0.0.1:{server.server_port}",
                batch,
                goods=_goods(app.database),
                finish=partial(_tap, app.database, batch, TapAction.FINISH),
            )
        finally:
            server.shutdown()
            thread.join()
            server.server_close()
            app.database.close()


class _QuietHandler(WSGIRequestHandler):
    """Writes nothing about the requests that it answers."""

    def log(self, *_):
        pass


def _fill(database):
    """Fills the demo, half of a batch too, and returns its key."""
    with database.writing() as session:
        seed_demo.fill_shop(session, MORNING)
        batch = session.scalars(select(OrderBatch).join(Order).where(Order.customer == IN_WORK)).one()
    _tap(database, batch.key, TapAction.FILL, batch.quantity // 2)
    return batch.key


def _tap(database, key, act, count=0):
    """Taps a batch, as if at another tablet."""
    with database.writing() as session:
        tap_batch(ctx(session, who=WHO, now=MORNING), key, Press(act, f"pictures-{act}", count))


def _goods(database):
    with database.reading() as session:
        balloon_types = ctx(session, now=MORNING).catalogue.balloon_types
        return {one.name: f"balloon_type:{one.id}" for one in balloon_types.values()}
