"""Long work beside the pages: one of a sort at a time, how far it is, stopped, failed, forgotten."""

import logging
import threading
from datetime import timedelta

import pytest

from app.store.sentences import StoreUnusable
from app.web.long_work import FORGOTTEN_AFTER, MOST, LongWorks, WorkState, WorkStopped
from app.web.wording.errors import WORK_FAILED

LONG = 20
"""Seconds that no test waits for, unless something is wrong."""


@pytest.fixture
def works(now):
    found = LongWorks()
    yield found
    found.stop_all(LONG)


class Gate:
    """Work that reports, and then waits until it may go on."""

    def __init__(self, result="made"):
        self.reached, self.opened, self.result, self.runs = threading.Event(), threading.Event(), result, 0

    def __call__(self, work):
        self.runs += 1
        work.report(1, 3)
        self.reached.set()
        while not self.opened.wait(0.01):
            work.report(1, 3)
        work.report(3, 3)
        return self.result


def test_it_says_how_far_it_is_and_has_its_result_in_the_end(works):
    gate = Gate()
    work = works.start("counting", gate)
    assert gate.reached.wait(LONG)
    assert (work.state, work.done, work.total) == (WorkState.RUNNING, 1, 3)
    assert works.find(work.key) is works.newest("counting") is work
    gate.opened.set()
    assert work.wait(LONG)
    assert (work.state, work.done, work.result, work.failure) == (WorkState.DONE, 3, "made", "")


def test_one_that_is_stopped_ends_without_a_result(works):
    gate, noticed = Gate(), []

    def notice(work):
        try:
            return gate(work)
        except WorkStopped:
            noticed.append(True)
            raise

    work = works.start("counting", notice)
    assert gate.reached.wait(LONG)
    work.stop()
    assert work.wait(LONG)
    assert (work.state, work.result, noticed) == (WorkState.STOPPED, None, [True])


@pytest.mark.parametrize(
    ("error", "said"),
    [(StoreUnusable("The disk is full."), "The disk is full."), (RuntimeError("Wilhelmina"), None)],
)
def test_one_that_fails_has_a_sentence_and_the_log_has_the_error(works, caplog, error, said):
    def fail(_):
        raise error

    with caplog.at_level(logging.ERROR):
        work = works.start("counting", fail)
        assert work.wait(LONG)
    assert work.state is WorkState.FAILED
    assert work.failure == (said or WORK_FAILED)
    assert "Wilhelmina" not in work.failure
    assert [record.levelname for record in caplog.records] == ["ERROR"]


def test_equal_work_is_done_once_and_found_again(works):
    gate = Gate()
    first = works.start("counting", gate, basis=("shop", 1))
    assert works.start("counting", gate, basis=("shop", 1)) is first
    gate.opened.set()
    assert first.wait(LONG)
    assert works.start("counting", gate, basis=("shop", 1)) is first
    assert gate.runs == 1


def test_what_was_stopped_or_failed_is_not_found_again(works):
    gate = Gate()
    first = works.start("counting", gate, basis=1)
    first.stop()
    again = works.start("counting", gate, basis=1)
    assert again is not first
    again.stop()
    failed = works.start("counting", lambda _: 1 / 0, basis=2)
    assert failed.wait(LONG)
    assert works.start("counting", gate, basis=2) is not failed


def test_of_one_sort_one_runs_at_a_time_and_of_another_sort_another(works):
    first, second, other = Gate(), Gate(), Gate()
    works.start("counting", first, basis=1)
    assert first.reached.wait(LONG)
    waiting = works.start("counting", second, basis=2)
    works.start("copying", other)
    assert other.reached.wait(LONG)
    assert not second.reached.wait(0.2)
    assert (waiting.state, waiting.total) == (WorkState.RUNNING, 0)
    first.opened.set()
    assert second.reached.wait(LONG)


def test_one_that_waits_for_its_turn_can_be_stopped(works):
    first, second = Gate(), Gate()
    works.start("counting", first, basis=1)
    assert first.reached.wait(LONG)
    waiting = works.start("counting", second, basis=2)
    waiting.stop()
    assert waiting.wait(LONG)
    assert (waiting.state, second.runs) == (WorkState.STOPPED, 0)


def test_it_is_forgotten_some_minutes_after_its_end(works, now):
    work = works.start("counting", lambda _: "made")
    assert work.wait(LONG)
    now.tick(FORGOTTEN_AFTER)
    assert works.find(work.key) is work
    now.tick(timedelta(seconds=1))
    assert works.find(work.key) is None
    assert works.newest("counting") is None


def test_one_that_runs_long_is_not_forgotten(works, now):
    work = works.start("counting", Gate())
    now.tick(10 * FORGOTTEN_AFTER)
    assert works.find(work.key) is work


def test_of_too_many_the_oldest_is_stopped(works):
    started = [works.start("counting", Gate(), basis=number) for number in range(MOST + 1)]
    assert started[0].wait(LONG)
    assert started[0].state is WorkState.STOPPED
    assert [one.key for one in started if works.find(one.key)] == [one.key for one in started[1:]]


def test_all_are_stopped_when_the_program_ends(works):
    gates = [Gate(), Gate()]
    started = [works.start(str(place), gate) for place, gate in enumerate(gates)]
    assert all(gate.reached.wait(LONG) for gate in gates)
    works.stop_all(LONG)
    assert [one.state for one in started] == [WorkState.STOPPED] * 2
