"""The sections of the board, from plain batches: no shop, no clock, no page."""

from datetime import timedelta

import pytest

from app.places.bench.sections import Job, Sections, sort_into_sections
from app.web.batch_state import BatchState
from tests.actions.builders import at

NOW, SOON = at(10), timedelta(minutes=30)


def _job(key, latest, state=BatchState.OPEN, minutes=20, **more):
    return Job(key, state, latest, work=timedelta(minutes=minutes), **more)


def _sorted(*jobs, who="Noor", **more):
    return sort_into_sections(jobs, who, NOW, SOON, **more)


def test_without_batches_every_section_is_empty():
    assert _sorted() == Sections()


def test_the_first_that_may_start_stands_in_now_and_the_others_follow_by_their_latest_start():
    found = _sorted(_job("c", at(13)), _job("a", at(11)), _job("b", at(12)))
    assert (found.now, found.next, found.left) == (("a",), ("b", "c"), 3)


def test_what_must_wait_for_its_balloons_stands_apart_until_soon_before_its_time():
    early = _job("a", at(11), BatchState.EARLY, earliest=at(10, 31))
    soon = _job("b", at(12), BatchState.EARLY, earliest=at(10, 30))
    found = _sorted(early, soon, _job("c", at(13)))
    assert (found.now, found.next, found.too_early) == (("c",), ("b",), ("a",))


def test_in_a_closed_shop_the_board_is_that_of_its_opening():
    """It opens at 8: what can be started by 8:30 stands with what can be started at 8."""
    at_opening = _job("a", at(12), BatchState.EARLY, earliest=at(8))
    soon = _job("b", at(9), BatchState.EARLY, earliest=at(8, 30))
    later = _job("c", at(10), BatchState.EARLY, earliest=at(8, 31))
    found = sort_into_sections([at_opening, soon, later], "Noor", at(8), SOON)
    assert (found.now, found.next, found.too_early) == (("a",), ("b",), ("c",))


def test_if_all_must_wait_the_first_stands_in_now():
    jobs = [_job(key, at(12 + hour), BatchState.EARLY, earliest=at(11 + hour)) for hour, key in enumerate("ab")]
    found = _sorted(*jobs)
    assert (found.now, found.next, found.too_early) == (("a",), (), ("b",))


@pytest.mark.parametrize(("minutes", "first"), [(30, "foil"), (90, "foil"), (91, "latex")])
def test_while_the_first_must_wait_what_leaves_it_its_time_stands_in_now(minutes, first):
    waits = _job("latex", at(11, 30), BatchState.EARLY, earliest=at(10, 30))
    assert _sorted(waits, _job("foil", at(12), minutes=minutes)).now == (first,)


def test_on_another_day_all_stand_together():
    jobs = [_job(key, at(12 + hour), BatchState.EARLY, earliest=at(11 + hour)) for hour, key in enumerate("ab")]
    found = _sorted(*jobs, is_today=False)
    assert (found.now, found.next, found.too_early) == (("a",), ("b",), ())


@pytest.mark.parametrize("state", [BatchState.STARTED, BatchState.IDLE])
def test_what_this_name_is_filling_comes_before_what_is_next_and_before_what_others_fill(state):
    own = _job("own", at(14), state, started_by="Noor")
    other = _job("other", at(11), state, started_by="Isa")
    waiting = _job("waiting", at(12))
    found = _sorted(other, own, waiting)
    assert (found.now, found.others, found.next) == (("own",), ("other",), ("waiting",))
    found = _sorted(other, own, waiting, who="Liv")
    assert (found.now, found.others, found.next) == (("waiting",), ("other", "own"), ())


def test_what_was_stopped_waits_and_what_was_cancelled_while_filled_must_be_stopped():
    stopped = _job("a", at(12), BatchState.STOPPED, started_by="Noor")
    cancelled = _job("b", at(11), BatchState.CANCELLED, started_by="Noor")
    found = _sorted(stopped, cancelled, _job("c", at(13)))
    assert (found.now, found.others, found.next) == (("a",), ("b",), ("c",))


def test_done_is_what_is_filled_or_given_up_the_last_first():
    jobs = (
        _job("a", at(8), BatchState.FILLED, filled_at=at(9)),
        _job("b", at(7), BatchState.FILLED, filled_at=at(9, 30)),
        _job("c", at(6), BatchState.CANCELLED, filled_at=at(8)),
        _job("d", at(5), BatchState.NOT_MADE),
    )
    found = _sorted(*jobs)
    assert (found.done, found.left) == (("b", "a", "c", "d"), 0)


def test_same_sizes_stand_together_where_nothing_becomes_late():
    """Filled in this order, b would start at 10:40: in time for 11:00, too late for 10:39."""
    lead, same = _job("lead", at(10, 30), setting=11), _job("same", at(14), setting=11)
    found = _sorted(lead, _job("b", at(11), setting=9), same)
    assert (found.next, found.joined) == (("same", "b"), {"same"})
    found = _sorted(lead, _job("b", at(10, 39), setting=9), same)
    assert (found.next, found.joined) == (("b", "same"), frozenset())


def test_what_waits_for_its_own_time_counts_from_then():
    """It starts at 10:30, not when its turn comes at 10:25; 20 minutes later the one after it is too late."""
    lead, same = _job("lead", at(10, 20), minutes=5, setting=11), _job("same", at(14), setting=11)
    waits = _job("waits", at(10, 40), BatchState.EARLY, earliest=at(10, 30))
    found = _sorted(lead, waits, _job("b", at(10, 49)), same)
    assert found.next == ("waits", "b", "same")
    found = _sorted(lead, waits, _job("b", at(10, 50)), same)
    assert found.next == ("same", "waits", "b")


def test_what_stands_too_early_is_not_made_late_either():
    """It may be started from 10:45 on; what moves forward takes until 10:40."""
    lead, other = _job("lead", at(10, 30), setting=11), _job("b", at(14), setting=9)
    same = _job("same", at(14), setting=11)
    for latest, expected in ((at(10, 45), ("same", "b")), (at(10, 44), ("b", "same"))):
        early = _job("early", latest, BatchState.EARLY, earliest=at(10, 45))
        assert _sorted(lead, other, same, early).next == expected


@pytest.mark.parametrize("state", [BatchState.EARLY, BatchState.LATE])
def test_what_must_wait_or_is_late_is_not_moved(state):
    lead, other = _job("lead", at(10, 30), setting=11), _job("b", at(14), setting=9)
    same = _job("same", at(15), state, setting=11, earliest=at(10, 25))
    assert _sorted(lead, other, same).next == ("b", "same")


def test_without_a_sizer_nothing_is_moved_or_joined():
    found = _sorted(_job("a", at(11)), _job("b", at(12), setting=9), _job("c", at(13)))
    assert (found.next, found.joined) == (("b", "c"), frozenset())


def test_one_of_much_later_is_not_moved_forward():
    lead, between = _job("lead", at(10, 30), setting=11), _job("b", at(12), setting=9)
    near, far = (_sorted(lead, between, _job("same", at(14, later), setting=11)) for later in (30, 31))
    assert (near.joined, far.joined) == ({"same"}, frozenset())


def test_what_stands_before_an_earlier_one_for_its_sizer_is_told_from_what_is_in_its_turn():
    jobs = [
        _job("a", at(11), setting=5),
        _job("b", at(12)),
        _job("c", at(13), setting=5),
        _job("d", at(14), setting=5),
    ]
    found = _sorted(*jobs)
    assert (found.next, found.joined, found.moved) == (("c", "d", "b"), {"c", "d"}, {"c", "d"})
    in_turn = _sorted(jobs[0], jobs[2])
    assert (in_turn.next, in_turn.joined, in_turn.moved) == (("c",), {"c"}, frozenset())
