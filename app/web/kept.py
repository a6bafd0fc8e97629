"""This module keeps what was worked out last, for the requests that follow."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class Kept(Generic[K, V]):
    """So many values by their key, those that were used last. Threads share it, so a value is replaced and never
    changed. What is found is checked by whoever asks: it may be of an earlier moment."""

    def __init__(self, most: int) -> None:
        self._most, self._values, self._lock = most, OrderedDict[K, V](), Lock()
        self._making = Lock()

    def get(self, key: K) -> V | None:
        with self._lock:
            if key in self._values:
                self._values.move_to_end(key)
            return self._values.get(key)

    def put(self, key: K, value: V) -> None:
        with self._lock:
            self._values[key] = value
            self._values.move_to_end(key)
            if len(self._values) > self._most:
                self._values.popitem(last=False)

    def get_or_make(
        self, key: K, is_right: Callable[[V], bool], make: Callable[[], V], may_be_kept: Callable[[V], bool]
    ) -> V:
        """Returns the kept value if it is right, else what is made instead, which is kept if it may be. When many
        ask at once, one makes it and the others wait for it."""
        known = self.get(key)
        if known is not None and is_right(known):
            return known
        with self._making:
            known = self.get(key)
            if known is not None and is_right(known):
                return known
            made = make()
            if may_be_kept(made):
                self.put(key, made)
            return made
