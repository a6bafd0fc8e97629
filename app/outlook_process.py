"""This module looks ahead in a second Python process, so that pages are not slowed down while the plan of a full
bench is calculated.

The two processes talk through pipes: a question is the arguments of `look_ahead`, an answer is an outlook or the
text of an error. The second process knows the planning only, and no database. It ends when its input ends, so it
never outlives the server, however that was ended.
"""

import os
import pickle
import signal
import subprocess
import sys
import traceback
from pathlib import Path
from typing import IO, Any, cast

from app.planning.outlook import Outlook, look_ahead

PROJECT = Path(__file__).parents[1]
NICENESS = 5
"""How far the second process stands back behind the pages where the processor is short."""


class OutlookError(Exception):
    """The second process could not look ahead; the text says why."""


class OutlookProcess:
    """Looks ahead in a second process, which starts with the first question and again if it has ended. One thread
    asks at a time and closes it in the end; any thread may interrupt it."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None

    def look_ahead(self, *question: Any) -> Outlook:
        """Returns what `look_ahead` returns for these arguments. Raises OutlookError when that fails or the
        process ends meanwhile."""
        questions, answers = self._pipes()
        try:
            _send(question, questions)
            answer = pickle.load(answers)
        except (OSError, EOFError, pickle.UnpicklingError) as exc:
            self.close()
            raise OutlookError("The process that looks ahead has ended.") from exc
        if isinstance(answer, Outlook):
            return answer
        raise OutlookError(answer)

    def interrupt(self) -> None:
        """Ends the process, in the middle of an answer if need be."""
        process = self._process
        if process:
            process.terminate()

    def close(self) -> None:
        """Ends the process and closes its pipes."""
        if self._process:
            self._process.terminate()
            self._process.communicate()
            self._process = None

    def _pipes(self) -> tuple[IO[bytes], IO[bytes]]:
        """Returns where the running process takes its questions and where it gives its answers."""
        if not self._process:
            self._process = subprocess.Popen(
                [sys.executable, "-m", __name__], cwd=PROJECT, stdin=subprocess.PIPE, stdout=subprocess.PIPE
            )
        return cast(IO[bytes], self._process.stdin), cast(IO[bytes], self._process.stdout)


def answer_questions(questions: IO[bytes], answers: IO[bytes]) -> None:
    """Answers one question after the other, until there are no more."""
    while True:
        try:
            question = pickle.load(questions)
        except EOFError:
            return
        try:
            answer: Outlook | str = look_ahead(*question)
        except Exception:  # whatever it was, the planner logs it and asks again later
            answer = traceback.format_exc()
        _send(answer, answers)


def _send(thing: object, pipe: IO[bytes]) -> None:
    pickle.dump(thing, pipe)
    pipe.flush()


def main() -> None:
    """Answers what comes in, until the server ends: Ctrl+C at the server's keyboard is not for this process."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    answer_questions(sys.stdin.buffer, sys.stdout.buffer)


if __name__ == "__main__":
    main()
