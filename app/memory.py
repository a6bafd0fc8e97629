"""This module keeps the memory of the serving process small."""

import ctypes
import gc
import sys

M_ARENA_MAX = -8
"""glibc's number of this option, in malloc.h."""


def share_one_arena() -> None:
    """Has all threads take their memory from one arena. With one for each thread, every one of them keeps what its
    largest page once took. Another C library than glibc has no such option and is left alone."""
    if sys.platform == "linux" and (set_option := getattr(ctypes.CDLL(None), "mallopt", None)):
        set_option(M_ARENA_MAX, 1)


def tidy_up() -> None:
    """Removes what the start left behind. What lives as long as the server is not looked through again."""
    gc.collect()
    gc.freeze()
    gc.enable()
