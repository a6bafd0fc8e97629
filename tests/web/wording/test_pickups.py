"""What the pick-ups say of a day, of a wait, of what is loaded, and of what a cancellation loses."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from app.actions.orders.cancel_loss import CancelLoss
from app.planning.late_collection import LateCollection, Remedy
from app.planning.window import FloatOutcome, Limit, Verdict
from app.web.formats import Formats
from app.web.pickup_state import PickupState
from app.web.wording.cancelling import loss_sentences
from app.web.wording.late_collection import WaitingBatch, describe_wait
from app.web.wording.pickups import day_summary, to_do_words

FORMATS = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)
NOON = datetime(2026, 11, 21, 12, tzinfo=UTC)
END = NOON + timedelta(hours=7)
VERDICTS = {0.97: Verdict.SAFE, 0.999: Verdict.SAFE, 0.9: Verdict.RISKY, 0.3: Verdict.WONT_LAST}


def _outcome(chance):
    verdict = VERDICTS[chance]
    return FloatOutcome(chance, 0.0, {Limit.FLOAT: verdict, Limit.LIGHT: Verdict.SAFE, Limit.WIND: Verdict.SAFE})


def _batch(waited, refilled=None, remedy=Remedy.REPLACE, name="11 in latex", agreed=0.97, until=5.0):
    late = LateCollection(
        _outcome(agreed),
        _outcome(waited),
        NOON + timedelta(hours=until),
        _outcome(refilled) if refilled else None,
        NOON + timedelta(hours=30) if refilled else None,
    )
    return WaitingBatch(name, 24, remedy, timedelta(minutes=35), late)


def _said(*batches, at=NOON):
    return describe_wait(batches, at, END, FORMATS, NOON)


def test_a_wait_that_changes_nothing_is_said_in_one_line():
    said = _said(_batch(0.97))
    assert said.headline == (
        "Collected at 12:00, the wait changes nothing. The chance that they still float at 19:00 stays 97%."
    )
    assert said.kept == "They keep floating as promised until 17:00."
    assert said.helps == ()


def test_a_worse_chance_stands_beside_what_it_was_and_what_helps():
    said = _said(_batch(0.3, 0.999), _batch(0.9, 0.97, Remedy.TOP_UP, "18 in foil"))
    assert said.headline == "Collected at 12:00, the chance that they still float at 19:00 is 30%. It was 97%."
    assert said.helps == (
        "Replace 24 × 11 in latex just before they leave, which takes 35 min. The chance is then above 99%. Tied"
        " latex cannot be topped up.",
        "Top up 24 × 18 in foil at the shop just before they leave. The chance is then 97%.",
    )


def test_after_the_event_it_says_how_long_they_would_float_if_they_are_filled_again():
    said = _said(_batch(0.3, 0.999, until=-2.0), at=END + timedelta(hours=1))
    assert said.headline.startswith("They had to float until 19:00, and that is over.")
    assert said.kept == "They floated as promised until 10:00."
    assert "They then float as promised until Sun 18:00." in said.helps[0]


def test_what_is_no_better_filled_again_is_said():
    assert _said(_batch(0.3)).helps == ("Filling 24 × 11 in latex again does not help.",)


def test_nothing_that_floats_says_nothing():
    assert _said() is None


@pytest.mark.parametrize(
    ("states", "earlier", "said"),
    [
        ((PickupState.READY,), 0, "1 pick-up: 1 ready"),
        (
            (PickupState.GONE, PickupState.LATE, PickupState.LATE),
            1,
            "3 pick-ups, 1 of them from earlier days: 2 late, 1 handed over",
        ),
    ],
)
def test_a_day_is_summed_up_by_state(states, earlier, said):
    assert day_summary(states, earlier) == said


@dataclass
class Row:
    quantity: int = 24
    filled: int = 24
    all_filled: bool = True
    on_account: bool = False

    def has_step(self, step):
        return step == "on account" and self.on_account


@pytest.mark.parametrize(
    ("row", "steps", "unpaid", "said"),
    [
        (Row(filled=0, all_filled=False), (), "£60.00", "Fill 24 balloons, take the payment of £60.00"),
        (Row(filled=23, all_filled=False), ("packed",), "", "Pack, fill 1 more balloon"),
        (Row(all_filled=False), (), "", "Finish filling"),
        (Row(), ("weighted", "bagged", "ready"), "", "Tie the weights on, bag"),
        (Row(on_account=True), ("ready", "paid"), "£60.00", "Check it and tick “Ready”"),
        (Row(), ("caution given", "paid"), "£5.00", "Give the caution, take the payment of £5.00"),
        (Row(), (), "", "Hand over"),
    ],
)
def test_what_is_still_to_do_is_said_in_the_order_in_which_it_is_done(row, steps, unpaid, said):
    assert to_do_words(row, steps, unpaid) == said


@pytest.mark.parametrize(
    ("loss", "said"),
    [
        (
            CancelLoss((("11 in latex", 10),), 118.0, (("11 in latex", 14),), has_supplies=True),
            (
                "Lost, because they are filled: 10 × 11 in latex, with 118 L of helium.",
                "Back to stock: 14 × 11 in latex, and its weights, ribbon and other supplies.",
            ),
        ),
        (
            CancelLoss((("12 in latex", 6),), 0.0, (), has_supplies=False),
            ("Lost, because they are filled: 6 × 12 in latex.",),
        ),
        (
            CancelLoss((), 26.0, (), has_supplies=False),
            ("Lost: 26 L of helium in the customer's own balloons.",),
        ),
    ],
)
def test_a_cancellation_says_what_is_lost_and_what_goes_back(loss, said):
    assert loss_sentences(loss, FORMATS) == said
