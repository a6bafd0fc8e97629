"""This module has the whole database file checked for damage while it is served, soon after the start and then
every night. It does so in a thread of its own, so that neither a page nor the planner waits for it."""

import logging
import threading
from datetime import datetime, timedelta

from app.actions.records.shop import ShopCache
from app.store.engine import Database
from app.store.sentences import StoreUnusable
from app.web import clock
from app.web.notes import StoreNotes

FIRST_AFTER_SECONDS = 5.0
LOOK_EVERY_SECONDS = 600.0
ONCE_IN = timedelta(hours=20)
"""A shop whose nights differ in length is checked every night all the same."""
STOP_SECONDS = 2.0

log = logging.getLogger(__name__)


class FileChecker:
    """Checks the file and notes what was found. It leaves alone what cannot be checked beside writes."""

    def __init__(self, database: Database, notes: StoreNotes) -> None:
        self._database, self._notes = database, notes
        self._shop_cache = ShopCache()
        self._check = database.page_check()
        self._stopped = threading.Event()
        self._thread = threading.Thread(target=self._run, name="file checker", daemon=True)

    def start(self) -> None:
        """Starts the thread, if there is something to check."""
        if self._database.can_be_checked_beside:
            self._thread.start()

    def stop(self) -> None:
        """Stops the thread, in the middle of a check if need be."""
        self._stopped.set()
        self._check.stop()
        if self._thread.is_alive():
            self._thread.join(STOP_SECONDS)

    def check_now(self) -> None:
        """Checks the whole file and notes what was found, unless it is stopped."""
        try:
            is_sound = self._check.run()
        except StoreUnusable as exc:
            log.error("%s", exc)
            self._notes.damaged_at = clock.now()
            return
        if is_sound:
            self._notes.checked_at, self._notes.damaged_at = clock.now(), None

    def is_due(self, now: datetime) -> bool:
        """Returns whether the file is to be checked: it never was, or it is night and the last check is some time
        ago."""
        last = self._notes.damaged_at or self._notes.checked_at
        if last is None:
            return True
        if timedelta() <= now - last < ONCE_IN:
            return False
        with self._database.reading() as session:
            return not self._shop_cache.load(session).shop.opening.is_open(now)

    def _run(self) -> None:
        """Checks whenever it is due, until it is stopped."""
        pause = FIRST_AFTER_SECONDS
        while not self._stopped.wait(pause):
            pause = LOOK_EVERY_SECONDS
            try:
                if self.is_due(clock.now()):
                    self.check_now()
            except Exception:  # whatever it was, it is tried again later
                log.exception("The database file could not be checked.")
