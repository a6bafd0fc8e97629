"""This module keeps compiled templates beside their sources, as Python keeps its own modules: only the first start
compiles them."""

import marshal
import sys
from contextlib import suppress
from importlib.util import cache_from_source
from pathlib import Path
from threading import get_ident

from jinja2 import BytecodeCache
from jinja2.bccache import Bucket, bc_magic


class KeptTemplates(BytecodeCache):
    """Compiled templates in a folder `__pycache__`. What comes from another source, another Python or another Jinja
    is compiled again, and so is a damaged file.

    Where Python keeps no compiled modules, or the folder cannot be written, no templates are kept either.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def load_bytecode(self, bucket: Bucket) -> None:
        """Fills the bucket with what was kept of its template, and leaves it empty if nothing was."""
        with suppress(OSError, EOFError, ValueError, TypeError):
            kept, head = self._file_of(bucket).read_bytes(), _head_of(bucket)
            bucket.code = marshal.loads(kept[len(head) :]) if kept.startswith(head) else None

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keeps what was compiled. The file gets its name when it is complete, because others may read it."""
        if sys.dont_write_bytecode:
            return
        file = self._file_of(bucket)
        part = file.with_suffix(f".{get_ident()}")
        with suppress(OSError):
            file.parent.mkdir(parents=True, exist_ok=True)
            part.write_bytes(_head_of(bucket) + marshal.dumps(bucket.code))
            part.replace(file)

    def _file_of(self, bucket: Bucket) -> Path:
        return Path(cache_from_source(str(self._folder / f"{bucket.key}.html")))


def _head_of(bucket: Bucket) -> bytes:
    """Returns what a file begins with that holds the compiled source of this bucket."""
    return bc_magic + bucket.checksum.encode()
