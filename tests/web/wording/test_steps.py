"""What is asked before a step of a hand-over is taken anyway: what is wrong, what follows, what would be right."""

import pytest

from app.actions.orders.concerns import Concern, ConcernKind
from app.quoting.states import HandOverStep
from app.web.wording.steps import anyway_words, concern_sentence
from tests.actions.builders import at
from tests.web.wording.test_answer import LONDON

WET_ON_THE_BENCH = Concern(ConcernKind.WET, HandOverStep.DRY, dry_at=at(10))
WET_AT_THE_DOOR = Concern(ConcernKind.WET, HandOverStep.HANDED_OVER, dry_at=at(10))
UNPAID = Concern(ConcernKind.UNPAID, HandOverStep.HANDED_OVER, due_minor=2640)
UNDRIED = Concern(ConcernKind.UNDRIED, HandOverStep.HANDED_OVER)
UNWEIGHTED = Concern(ConcernKind.UNWEIGHTED, HandOverStep.HANDED_OVER)
NO_CYLINDER = Concern(ConcernKind.NO_GAS, HandOverStep.PACKED, needed=283.4)
TOO_LITTLE = Concern(ConcernKind.NO_GAS, HandOverStep.PACKED, needed=283.4, held=120.0)


@pytest.mark.parametrize(
    ("concern", "sentence"),
    [
        (
            WET_ON_THE_BENCH,
            "The treated balloons are wet until 10:00. If they are bagged wet, they may sink sooner. Wait until"
            " then.",
        ),
        (
            WET_AT_THE_DOOR,
            "The treated balloons are wet until 10:00. If they are moved wet, they may sink sooner. Wait until"
            " then.",
        ),
        (
            UNDRIED,
            "Nobody has ticked that the treated balloons are dry. Touch one. If it is dry, tick “Dry” first.",
        ),
        (
            UNWEIGHTED,
            "Nobody has ticked that the weights are tied on. Every helium balloon leaves with a weight. Check them"
            " first.",
        ),
        (
            UNPAID,
            "£26.40 is still to pay. Once the order has left, you must ask for it later. Save the payment first.",
        ),
        (
            NO_CYLINDER,
            "No cylinder goes along. The crew needs 283 L of helium at the venue. Choose a cylinder first.",
        ),
        (
            TOO_LITTLE,
            "The cylinders that go along hold 120 L of helium, and the crew needs 283 L. Some balloons would stay"
            " empty. Add a cylinder first.",
        ),
    ],
)
def test_each_says_what_is_wrong_what_follows_and_what_to_do(concern, sentence):
    assert concern_sentence(concern, LONDON, at(9)) == sentence


def test_the_answer_that_goes_on_says_what_it_does():
    answers = [anyway_words(concerns) for concerns in ([WET_ON_THE_BENCH], [NO_CYLINDER], [UNPAID])]
    assert answers == ["Mark dry anyway", "Pack anyway", "Hand over unpaid"]
    assert anyway_words([WET_AT_THE_DOOR, UNPAID]) == "Hand over anyway"
    assert anyway_words([UNWEIGHTED]) == "Hand over anyway"
