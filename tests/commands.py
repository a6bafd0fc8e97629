"""The project's commands: in a process of their own as they are typed, or in this one, where none has to start."""

import io
import os
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout

import pytest

import seed_demo
from app import __main__ as command_line
from tests.serving import PROJECT, environment

APP = command_line.main
DEMO = seed_demo.main
TYPED = {APP: ("-m", "app"), DEMO: (str(PROJECT / "seed_demo.py"),)}


def run_apart(main, folder, *words, **changes):
    """A command in that folder, as somebody types it: its exit status and everything it said."""
    ended = subprocess.run(
        [sys.executable, *TYPED[main], *words],
        cwd=folder,
        env=environment(**changes),
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    return ended.returncode, ended.stdout + ended.stderr


def run_here(main, folder, *words, **changes):
    """The same without a process of its own, which takes seconds to start: an error that would end it is raised."""
    said = io.StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(said), redirect_stderr(said):
        patch.chdir(folder)
        for name in os.environ.keys() - environment().keys():
            patch.delenv(name)
        for name, value in changes.items():
            patch.setenv(name, value)
        status = _ended(main, list(words))
    return status, said.getvalue()


def _ended(main, words):
    """The exit status; a sentence to end with is said, as Python does where a program ends."""
    try:
        main(words)
    except SystemExit as end:
        if not isinstance(end.code, str):
            return end.code or 0
        print(end.code, file=sys.stderr)
        return 1
    return 0
