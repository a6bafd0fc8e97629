"""What takes long to load is loaded when it is first used, so that the first page need not wait for it."""

from importlib import import_module
from typing import Any


class Later:
    """A module that is loaded when something of it is first asked for.

    settings: attributes that the module gets when it is loaded.
    """

    def __init__(self, name: str, **settings: Any) -> None:
        self._name, self._settings = name, settings

    def __getattr__(self, wanted: str) -> Any:
        """Returns something of the module, and keeps it, so that this is called once for each name."""
        if wanted.startswith("__"):
            raise AttributeError(wanted)
        module = import_module(self._name)
        for name, value in self._settings.items():
            setattr(module, name, value)
        found = self.__dict__[wanted] = getattr(module, wanted)
        return found
