"""This module makes the program start sooner: the addresses of its pages are put together when one is asked for."""

from collections.abc import Callable
from functools import cache
from typing import Any

from werkzeug.routing import Rule


class LazyRule(Rule):
    """A rule of an address. Werkzeug writes and compiles two functions for each when it is added; this one waits
    until a page links to the address."""

    def _compile_builder(self, append_unknown: bool = True) -> Callable[..., tuple[str, str]]:
        """Returns a function that builds an address, and that is compiled at its first call."""
        compiled = cache(super()._compile_builder)

        def build(_rule: Rule, **values: Any) -> tuple[str, str]:
            return compiled(append_unknown)(self, **values)

        return build
