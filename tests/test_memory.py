"""The threads that answer share one arena, so that the memory of the largest page is not kept once for each."""

import ctypes
import re
import subprocess
import sys

import pytest

from tests.serving import environment

ALLOCATE = """
import ctypes, sys, threading
from app.memory import share_one_arena

if sys.argv[2] == "share":
    share_one_arena()
both = threading.Barrier(4)
def work():
    some = [bytes(2_000) for _ in range(1_000)]
    both.wait()
threads = [threading.Thread(target=work) for _ in range(4)]
[thread.start() for thread in threads]
[thread.join() for thread in threads]
libc = ctypes.CDLL(None)
libc.fopen.restype = ctypes.c_void_p
report = ctypes.c_void_p(libc.fopen(sys.argv[1].encode(), b"w"))
libc.malloc_info(0, report)
libc.fclose(report)
"""

pytestmark = pytest.mark.skipif(
    sys.platform != "linux" or not hasattr(ctypes.CDLL(None), "mallopt"), reason="only glibc has arenas"
)


def _arenas(folder, choice):
    report = folder / "report.xml"
    subprocess.run([sys.executable, "-c", ALLOCATE, report, choice], env=environment(), check=True, timeout=60)
    return len(re.findall("<heap nr=", report.read_text()))


def test_threads_share_one_arena(tmp_path):
    assert _arenas(tmp_path, "share") == 1
    assert _arenas(tmp_path, "leave") > 1
