"""What was found out about the stored state is kept in the process until that state changes, or the minute ends."""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from threading import Lock
from typing import TypeVar, cast

T = TypeVar("T")

MOST_KEPT = 32


class KeptFindings:
    """Findings about one state of the store, by key. Threads share them, so they must never change.

    A state is told by values that are compared. A newer version takes the place of an older one; when more than
    `most` findings are kept, the one that was asked for least recently is dropped.
    """

    def __init__(self, most: int = MOST_KEPT) -> None:
        self._most = most
        self._version = -1
        self._state: tuple[object, ...] = ()
        self._found: OrderedDict[Hashable, object] = OrderedDict()
        self._before: Mapping[Hashable, object] = {}
        self._lock = Lock()

    def load(self, version: int, state: tuple[object, ...], key: Hashable, find: Callable[[], T]) -> T:
        """Returns what is kept under the key for this state; else finds it and keeps it. Nothing is kept of a
        version that is older than the one that is kept."""
        with self._lock:
            if self._holds(version, state) and key in self._found:
                self._found.move_to_end(key)
                return cast(T, self._found[key])
        found = find()
        with self._lock:
            if version >= self._version:
                self._keep(version, state, key, found)
        return found

    def before(self, key: Hashable) -> object | None:
        """Returns what was found last under the key, of whatever state; None if nothing was."""
        with self._lock:
            return self._found.get(key, self._before.get(key))

    def _holds(self, version: int, state: tuple[object, ...]) -> bool:
        return version == self._version and state == self._state

    def _keep(self, version: int, state: tuple[object, ...], key: Hashable, found: object) -> None:
        if not self._holds(version, state):
            self._version, self._state = version, state
            self._before, self._found = self._found, OrderedDict()
        self._found[key] = found
        while len(self._found) > self._most:
            self._found.popitem(last=False)
