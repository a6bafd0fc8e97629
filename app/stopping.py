"""This module runs the web server until somebody tells it to stop, and then lets it finish what it has begun."""

import logging
import signal
import time
from types import FrameType
from typing import Any

from waitress import wasyncore

FINISH_SECONDS = 20.0
"""A request that takes longer is given up, so that the program ends before the system ends it."""
TURN_SECONDS = 0.25
"""Within this time it notices the signal."""
LAST_TURN_SECONDS = 0.05
WORKERS_SECONDS = 5.0
"""For threads that have nothing left to do."""

log = logging.getLogger(__name__)


class StopSignal:
    """Notices SIGTERM and Ctrl+C. The first one asks the server to stop; a second one asks it not to wait for the
    requests that have begun."""

    def __init__(self) -> None:
        self.is_given = self.is_urgent = False
        signal.signal(signal.SIGTERM, self._notice)
        signal.signal(signal.SIGINT, self._notice)

    def _notice(self, _number: int, _frame: FrameType | None) -> None:
        self.is_given, self.is_urgent = True, self.is_given


def run_until_stopped(server: Any, sockets: dict[int, Any], stop: StopSignal) -> None:
    """Serves until the signal is given. Then it takes no new connection and answers the requests that have begun.

    server: of waitress. sockets: all that it listens on or talks to, by file number; waitress keeps it up to date.
    """
    while not stop.is_given:
        wasyncore.loop(timeout=TURN_SECONDS, map=sockets, count=1)
    for listening in [one for one in sockets.values() if one.accepting]:
        wasyncore.dispatcher.close(listening)  # its own close would also end the trigger that the answers need
    until = time.monotonic() + FINISH_SECONDS
    while (busy := _busy(sockets)) and time.monotonic() < until and not stop.is_urgent:
        wasyncore.loop(timeout=LAST_TURN_SECONDS, map=sockets, count=1)
    if busy:
        log.warning("The program stops although %d requests are not finished.", busy)
    server.task_dispatcher.shutdown(timeout=0 if busy else WORKERS_SECONDS)


def _busy(sockets: dict[int, Any]) -> int:
    """Returns how many connections have a request that is arriving, being worked on or being answered."""
    channels = [one for one in sockets.values() if hasattr(one, "requests")]
    return sum(bool(one.requests or one.request or one.total_outbufs_len) for one in channels)
