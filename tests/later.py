"""Libraries that take long to load: the first test that asks one loads it, and nobody else waits for it."""

from importlib import import_module


class Later:
    """A module that is loaded when something of it is first asked for."""

    def __init__(self, name):
        self._name = name

    def __getattr__(self, wanted):
        if wanted.startswith("_"):  # asked by pytest, which looks for fixtures in all that a test file names
            raise AttributeError(wanted)
        return getattr(import_module(self._name), wanted)


coolprop = Later("CoolProp.CoolProp")
fluids = Later("fluids")
integrate = Later("scipy.integrate")
optimize = Later("scipy.optimize")
psycopg = Later("psycopg")
sparse = Later("scipy.sparse")
special = Later("scipy.special")
stats = Later("scipy.stats")
