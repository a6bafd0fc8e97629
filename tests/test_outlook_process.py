"""The bench's future, calculated in a second process."""

import io
import pickle
import subprocess
import sys
from contextlib import suppress
from datetime import UTC, datetime, timedelta

import pytest

from app.outlook_process import OutlookError, OutlookProcess, answer_questions
from app.planning.order_work import FillJob, OrderWork
from app.planning.outlook import look_ahead
from app.planning.schedule import Batch, Shift
from tests.serving import PROJECT

NOW = datetime(2026, 11, 21, 8, tzinfo=UTC)


@pytest.fixture
def process():
    process = OutlookProcess()
    yield process
    process.close()


def _question(hours=9):
    """Two orders of an hour's filling each, due after so many hours of one person."""
    ready_by = NOW + timedelta(hours=hours)
    orders = [
        OrderWork(key, (FillJob(Batch(f"{key}-1", "helium", 3600, NOW, ready_by)),), 600, ready_by)
        for key in ("1001", "1002")
    ]
    return orders, [Shift(NOW, NOW + timedelta(hours=10), 1)], {"helium": 1}, NOW, ()


@pytest.mark.parametrize(("hours", "late"), [(9, 0), (2, 1)])
def test_it_answers_as_this_process_would(process, hours, late):
    here = look_ahead(*_question(hours))
    assert process.look_ahead(*_question(hours)) == here
    assert len(here.delays) == late


def test_an_error_comes_back_with_its_text_and_the_next_question_is_answered(process):
    orders, shifts, _, *rest = _question()
    with pytest.raises(OutlookError, match="ValueError"):
        process.look_ahead(orders, shifts, {}, *rest)
    assert process.look_ahead(*_question()).starts


def test_one_that_has_ended_is_started_again(process):
    first = process.look_ahead(*_question())
    process.interrupt()
    with suppress(OutlookError):  # asked while it ends
        process.look_ahead(*_question())
    assert process.look_ahead(*_question()) == first


def test_it_ends_with_its_questions():
    """So it ends with the server, even with one that was killed."""
    answers = io.BytesIO()
    answer_questions(io.BytesIO(pickle.dumps(_question()) * 2), answers)
    answers.seek(0)
    assert pickle.load(answers) == pickle.load(answers) == look_ahead(*_question())


def test_it_loads_neither_a_database_nor_a_web_server():
    code = "import sys, app.outlook_process; print({'sqlalchemy', 'flask', 'waitress'} & {*sys.modules})"
    found = subprocess.run([sys.executable, "-c", code], cwd=PROJECT, capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "set()"
