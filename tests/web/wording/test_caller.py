"""The caller hears what has become of an order, and no promise that is over."""

from dataclasses import replace

import pytest

from app.planning.window import Verdict
from app.quoting.request import HandOver
from app.quoting.states import OrderPart, OrderState
from app.store.queries.plan import SavedDelay
from app.web.wording.caller import OrderNow, caller_summary
from app.web.wording.order_state import Missed
from tests.web.wording.stored_orders import FORMATS, READY, UNPAID, at, stored_order


def _said(then, **changes):
    """What is read of the order while it is open and was promised as safe."""
    order = stored_order(**({"state": OrderState.OPEN, "verdict": Verdict.SAFE} | changes))
    return caller_summary(order, UNPAID, FORMATS, then)


DELAY = SavedDelay("1007", READY, at(0.5), (), 0, READY, READY, None, proved=True)
AT, EARLY = FORMATS.moment(READY), at(-3)


@pytest.mark.parametrize(
    ("delay", "changes", "sentence"),
    [
        (DELAY, {}, f"We can't have them ready by {AT}. You could collect them at about Sat 21 Nov, 14:30."),
        (replace(DELAY, proved=False), {}, f"We may not have them ready by {AT}. You could collect them"),
        (
            replace(DELAY, ready_at=at(2)),
            {},
            "You could collect them at about Sat 21 Nov, 16:00, after your event has started.",
        ),
        (replace(DELAY, ready_at=at(30)), {}, "only at about Sun 22 Nov, 20:00, when your event is over."),
        (replace(DELAY, ready_at=None), {}, f"We can't have them ready by {AT}, or on any of the next days."),
        (DELAY, {"hand_over": HandOver.DELIVER, "arrives_at": at(1)}, "We could leave here with them at about"),
        (DELAY, {"hand_over": HandOver.VENUE, "arrives_at": at(1)}, "Our crew could leave here at about"),
    ],
)
def test_the_caller_hears_what_cannot_be_ready_and_when_it_can(delay, changes, sentence):
    said = _said(OrderNow(EARLY, Verdict.SAFE, delays={OrderPart.MAIN: delay}), **changes)
    assert sentence in said
    assert "You collect" not in said
    assert "We deliver" not in said


def test_once_its_time_has_passed_the_order_could_not_be_ready():
    said = _said(OrderNow(at(0.2), Verdict.SAFE, delays={OrderPart.MAIN: DELAY}))
    assert f"We could not have them ready by {AT}." in said


@pytest.mark.parametrize(
    ("missed", "sentence"),
    [
        (Missed(READY, HandOver.COLLECT, is_ready=True), f"They were to be collected on {AT}."),
        (Missed(READY, HandOver.COLLECT, is_ready=False), f"They were to be ready by {AT}. 4 of 24 balloons"),
        (Missed(READY, HandOver.DELIVER, is_ready=True), f"They were to be delivered to 4 Mill Lane on {AT}."),
    ],
)
def test_of_what_was_missed_nothing_is_said_as_if_it_still_came(missed, sentence):
    said = _said(OrderNow(at(24), Verdict.RISKY, missed, 4, 24), hand_over=missed.hand_over)
    assert sentence in said
    assert "The event was on" in said
    assert said.endswith("The price is £26.40. £26.40 is still to pay.")
    assert not [part for part in ("in advance", "risky", "You collect") if part in said]


def test_the_caller_hears_how_long_they_last_now_and_not_what_was_promised():
    assert "We do not expect them to last until 19:00." in _said(OrderNow(EARLY, Verdict.WONT_LAST))
