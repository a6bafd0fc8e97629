"""What is compiled once for all tests of a process: statements and templates."""

from contextlib import contextmanager

import pytest

from app.store.engine import make_engine
from app.web.kept_templates import KeptTemplates


class CompiledStatements:
    """Each statement as it was compiled first in this process. SQLAlchemy keeps them for each engine and dialect:
    a test with a file, and so an engine, of its own would compile all anew, which takes longer than to run them.
    """

    def __init__(self):
        self._dialect = None
        self._codes = {}

    def learn(self, engine):
        """Takes the dialect of an engine that was connected: only such a one knows its library."""
        self._dialect = engine.dialect

    def make_engine(self, url):
        engine = make_engine(url)
        if self._dialect and engine.dialect.name == self._dialect.name:
            engine.dialect = self._dialect
            engine.update_execution_options(compiled_cache=self._codes)
        return engine

    @contextmanager
    def saved(self):
        """Engines made in the block share them."""
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("app.store.engine.make_engine", self.make_engine)
            yield


class CompiledTemplates(KeptTemplates):
    """Each template as it was compiled first: an app of its own would compile all anew, and so would each of the
    processes that share the tests."""

    def __init__(self, folder):
        super().__init__(folder)
        self._codes = {}

    def load_bytecode(self, bucket):
        bucket.code = self._codes.get((bucket.key, bucket.checksum))
        if bucket.code is None:
            super().load_bytecode(bucket)
            self._codes[bucket.key, bucket.checksum] = bucket.code

    def dump_bytecode(self, bucket):
        self._codes[bucket.key, bucket.checksum] = bucket.code
        super().dump_bytecode(bucket)
