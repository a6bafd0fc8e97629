"""Keeps the bench's plan up to date, beside the answers and never in their way."""

import logging
import threading
import time

from app.actions.bench.plan import is_followed, read_bench, save_plan, work_out
from app.actions.context import Context
from app.actions.records.shop_cache import ShopCache
from app.store.engine import Database
from app.web import clock

EVERY_SECONDS = 60.0
"""What is not begun in time, or takes longer, is noticed no later than this."""

REST = 20
"""It rests for so many times as long as it took, unless somebody changes something."""
STOP_SECONDS = 2.0

log = logging.getLogger(__name__)


WHO = "the planner"


class Planner:
    """Works the plan out after every write, and once a minute because the clock moves on. Until it is started it
    does so only when asked."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._shop_cache = ShopCache()
        self._woken, self._stopped = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._run, name="planner", daemon=True)

    def start(self) -> None:
        self._woken.set()
        self._thread.start()

    def stop(self) -> None:
        """Waits a moment for the plan in hand, if one is being worked out; what is not kept is made anew."""
        self._stopped.set()
        self._woken.set()
        if self._thread.is_alive():
            self._thread.join(STOP_SECONDS)

    def wake(self) -> None:
        self._woken.set()

    def plan_now(self) -> bool:
        """Whether the pages have something new to show. Raises DatabaseError."""
        now = clock.now()
        with self._database.reading() as session:
            built = self._shop_cache.load(session)
            context = Context(session, WHO, built.shop, built.catalogue, now)
            if is_followed(context):
                return False
            bench = read_bench(context)
        made = work_out(bench, now)
        with self._database.writing() as session:
            return save_plan(session, made)

    def _run(self) -> None:
        took = 0.0
        while not self._stopped.is_set():
            self._woken.wait(max(EVERY_SECONDS, REST * took))
            self._woken.clear()
            if not self._stopped.is_set():
                started = time.monotonic()
                self._plan_or_log()
                took = time.monotonic() - started

    def _plan_or_log(self) -> None:
        try:
            self.plan_now()
        except Exception:  # whatever it was, the next write or minute tries again
            log.exception("The plan of the bench could not be worked out.")
