"""Work that takes long. It runs in a thread of its own beside the pages, says how far it is, and can be stopped."""

import logging
import threading
from collections import defaultdict
from collections.abc import Callable
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any

from sqlalchemy.exc import DatabaseError

from app.store.sentences import StoreUnusable, sentence_for
from app.web import clock
from app.web.htmx import new_key
from app.web.wording.errors import WORK_FAILED

PAUSE_SECONDS = 0.002
"""So long it leaves the processor to the pages whenever it reports."""
FORGOTTEN_AFTER = timedelta(minutes=5)
MOST = 8
"""So many works are known; of more, the oldest one is stopped and forgotten."""
STOP = "stop"
"""The name of the button that stops a work; its value is the key of the work."""

log = logging.getLogger(__name__)


class WorkState(StrEnum):
    RUNNING = "running"
    DONE = "done"
    STOPPED = "stopped"
    FAILED = "failed"


class WorkStopped(Exception):
    """Raised inside a work that was stopped."""


class LongWork:
    """One work. subject: what sort of work; of one sort, one runs at a time. basis: from what it works, so that
    equal work is found again. done, total: how far it is; a total of 0 is not known yet. result: once it is done.
    failure: the sentence if it failed, else empty."""

    def __init__(self, subject: str, basis: object = None) -> None:
        self.key, self.subject, self.basis = new_key(), subject, basis
        self.done = self.total = 0
        self.result: Any = None
        self.failure = ""
        self.ended_at: datetime | None = None
        self._stop, self._ended = threading.Event(), threading.Event()

    @property
    def state(self) -> WorkState:
        if not self._ended.is_set():
            return WorkState.RUNNING
        if self.failure:
            return WorkState.FAILED
        return WorkState.STOPPED if self.result is None else WorkState.DONE

    @property
    def can_be_used(self) -> bool:
        """Whether it has a result or will have one."""
        return self.state in (WorkState.RUNNING, WorkState.DONE) and not self._stop.is_set()

    def report(self, done: int, total: int, pause: float = PAUSE_SECONDS) -> None:
        """Says how far it is, and lets the pages go first. Raises WorkStopped if it was stopped."""
        self.done, self.total = done, total
        if self._stop.wait(pause):
            raise WorkStopped

    def stop(self) -> None:
        """Stops it when it reports next. What it has done already stays."""
        self._stop.set()

    def wait(self, seconds: float) -> bool:
        """Waits until it has ended, but not longer. Returns whether it has."""
        return self._ended.wait(seconds)

    def run(self, work: Callable[["LongWork"], Any], turn: threading.Lock) -> None:
        """Does the work when it is its turn."""
        try:
            while not turn.acquire(timeout=0.1):
                self.report(0, 0)
            try:
                self.result = work(self)
            finally:
                turn.release()
        except WorkStopped:
            pass
        except StoreUnusable as exc:
            log.error("%s", exc)
            self.failure = exc.sentence
        except Exception as exc:  # whatever it was, the page says so
            log.exception("The work “%s” failed.", self.subject)
            self.failure = sentence_for(exc) if isinstance(exc, DatabaseError) else WORK_FAILED
        finally:
            self.ended_at = clock.now()
            self._ended.set()


class LongWorks:
    """The works of this process, those that ended until FORGOTTEN_AFTER. Threads share it."""

    def __init__(self) -> None:
        self._works: dict[str, LongWork] = {}
        self._turns: defaultdict[str, threading.Lock] = defaultdict(threading.Lock)
        self._lock = threading.Lock()

    def start(self, subject: str, work: Callable[[LongWork], Any], basis: object = None) -> LongWork:
        """Starts a work and returns it; equal work that runs or is done is returned instead."""
        with self._lock:
            self._forget()
            for one in reversed(self._works.values()):
                if one.subject == subject and one.can_be_used and basis is not None and one.basis == basis:
                    return one
            started = LongWork(subject, basis)
            self._works[started.key] = started
            self._forget()
            threading.Thread(
                target=started.run, args=(work, self._turns[subject]), name=subject, daemon=True
            ).start()
            return started

    def find(self, key: str) -> LongWork | None:
        """Returns the work with this key; None if it is not known, as after a new start of the program."""
        with self._lock:
            self._forget()
            return self._works.get(key)

    def newest(self, subject: str) -> LongWork | None:
        """Returns the work of this sort that was started last; None if none is known."""
        with self._lock:
            self._forget()
            return next((one for one in reversed(self._works.values()) if one.subject == subject), None)

    def forget(self, work: LongWork) -> None:
        """Stops a work and forgets it."""
        with self._lock:
            work.stop()
            self._works.pop(work.key, None)

    def stop_all(self, seconds: float) -> None:
        """Stops all works and waits until each has ended, for each not longer than this."""
        with self._lock:
            works = [*self._works.values()]
            for one in works:
                one.stop()
        for one in works:
            one.wait(seconds)

    def _forget(self) -> None:
        oldest_kept = clock.now() - FORGOTTEN_AFTER
        over = len(self._works) - MOST
        for place, (key, one) in enumerate([*self._works.items()]):
            if place < over or (one.ended_at and one.ended_at < oldest_kept):
                one.stop()
                del self._works[key]
