"""This module keeps the bench's plan up to date, and makes backups when they are due. It does so in a thread beside
the pages, and has the plan calculated in another process, so that no page waits for either."""

import logging
import threading
import time
from collections.abc import Callable

from app.actions.bench.plan import calculate_plan, is_plan_current, read_bench, save_plan
from app.actions.context import Context
from app.actions.records.shop import ShopCache
from app.actions.shop.backups import BackupKeeper
from app.outlook_process import OutlookProcess
from app.planning.outlook import Outlook, look_ahead
from app.store.engine import Database
from app.store.sentences import StoreUnusable
from app.web import clock
from app.web.notes import PlannerNotes

EVERY_SECONDS = 60.0
"""Within this time it notices work that is not started in time, or that takes longer."""

REST_FACTOR = 20
"""It rests this many times as long as the last plan took, unless somebody changes something."""
FIRST_PAGE_SECONDS = 1.0
"""After the start, it leaves the processor to the first page for so long, unless somebody changes something."""
STOP_SECONDS = 2.0

log = logging.getLogger(__name__)


WHO = "the planner"


class Planner:
    """Calculates the plan after every write, and once a minute because time passes. Then it looks whether a backup
    is due.

    Until it is started, it calculates only when `plan_now` is called, and does so in this process. Without a keeper
    it makes no backups.
    """

    def __init__(self, database: Database, backups: BackupKeeper | None = None) -> None:
        self._database = database
        self._backups = backups
        self._last_write = clock.now()
        self.notes = PlannerNotes()
        self._shop_cache = ShopCache()
        self._process = OutlookProcess()
        self._look_ahead: Callable[..., Outlook] = look_ahead
        self._woken, self._stopped = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._run, name="planner", daemon=True)

    def start(self) -> None:
        """Starts the thread, which calculates the plan soon: the first page goes first."""
        self._last_write = clock.now()  # what was saved before the start may be in no backup yet
        self._look_ahead = self._process.look_ahead
        self._thread.start()

    def stop(self) -> None:
        """Stops the thread, and with it a plan that is being calculated; it is calculated again at the next
        start."""
        self._stopped.set()
        self._woken.set()
        self._process.interrupt()
        if self._thread.is_alive():
            self._thread.join(STOP_SECONDS)

    def wake(self) -> None:
        """Asks the thread to calculate the plan soon."""
        self._woken.set()

    def plan_now(self) -> bool:
        """Calculates the plan and saves it if need be.

        Returns whether the pages have something new to show. Raises DatabaseError when the database refuses.
        """
        now = clock.now()
        with self._database.reading() as session:
            built = self._shop_cache.load(session)
            context = Context(session, WHO, built.shop, built.catalogue, now)
            if is_plan_current(context):
                return False
            bench = read_bench(context)
        new_plan = calculate_plan(bench, now, self._look_ahead)
        with self._database.writing() as session:
            return save_plan(session, new_plan)

    def _run(self) -> None:
        """Calculates the plan whenever it is woken or the time is up, until it is stopped."""
        try:
            self._keep_planning()
        finally:
            self._process.close()

    def _keep_planning(self) -> None:
        rest = FIRST_PAGE_SECONDS
        while not self._stopped.is_set():
            if self._woken.wait(rest):
                self._last_write = clock.now()
            self._woken.clear()
            if not self._stopped.is_set():
                started = time.monotonic()
                self._plan_or_log()
                rest = max(EVERY_SECONDS, REST_FACTOR * (time.monotonic() - started))
                self._back_up_or_log()

    def _plan_or_log(self) -> None:
        try:
            self.plan_now()
            self.notes.looked_at, self.notes.failed_at = clock.now(), None
        except Exception:  # whatever it was, it is tried again after the next write or minute
            if self._stopped.is_set():
                return
            self.notes.failed_at = clock.now()
            log.exception("The plan of the bench could not be calculated.")

    def back_up_if_due(self) -> None:
        """Makes a backup if one is due. Raises StoreUnusable when it cannot be made."""
        if self._backups is None:
            return
        with self._database.reading() as session:
            opening = self._shop_cache.load(session).shop.opening
        self._backups.make_if_due(clock.now(), self._last_write, opening)

    def _back_up_or_log(self) -> None:
        try:
            self.back_up_if_due()
        except StoreUnusable as exc:  # the office's pages say so too
            log.error("%s", exc)
        except Exception:  # whatever it was, it is tried again in a minute
            log.exception("No backup could be made.")
