"""The board of 200 batches against a plain table of the same rows, as two general front ends of a database draw it:
Django's admin list and Datasette's table page.

Skipped unless asked for: pip install django datasette, then pytest tests/speed --benchmark-only -n0.
"""

from pathlib import Path

import pytest

from tests.serving import running
from tests.speed.lines import filled, line_to
from tests.speed.shops import BATCHES, fill_full_day

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def file(shop_file, tmp_path_factory):
    return filled(shop_file, tmp_path_factory.mktemp("compared"), fill_full_day)


def test_djangos_admin_list(measure, file, tmp_path):
    pytest.importorskip("django")
    with running([str(HERE / "general_admin.py"), str(file)], tmp_path / "log") as port, line_to(port) as line:
        path = "/admin/auth/batch/"
        assert line.ask(path).count('class="action-select"') == BATCHES
        measure(f"Django's admin list of the same {BATCHES} rows", lambda: line.ask(path))


def test_datasettes_table_page(measure, file, tmp_path):
    pytest.importorskip("datasette")
    words = ["-c", SERVE, str(file)]
    with running(words, tmp_path / "log") as port, line_to(port) as line:
        path = f"/{file.stem}/batch?_size={BATCHES}&_sort=inflate_by"
        assert line.ask(path).count('class="col-key type-str"') == BATCHES
        measure(f"Datasette's table page of the same {BATCHES} rows", lambda: line.ask(path))


SERVE = """
import sys
import uvicorn
from datasette.app import Datasette

shop = Datasette([sys.argv[1]], settings={"max_returned_rows": 1000})

class Announced(uvicorn.Server):
    async def startup(self, sockets=None):
        await super().startup(sockets)
        print("Stillaloft is running.", flush=True)

Announced(uvicorn.Config(shop.app(), host="127.0.0.1", port=int(sys.argv[-1]), log_level="error")).run()
"""
