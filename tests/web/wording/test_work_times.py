"""What the office says about how long work takes."""

import pytest

from app.planning.work_times import ExclusionReason, Outcome, WorkFigure, WorkTimeFinding
from app.web.wording.work_times import left_out_reason, outcome_sentence


def _finding(outcome):
    return WorkTimeFinding(WorkFigure.HANDLE, 36, outcome, ())


def test_too_few_batches_are_counted_against_those_needed():
    assert outcome_sentence(_finding(Outcome.TOO_FEW)) == "Too few batches so far: 0 of 8."


@pytest.mark.parametrize(
    ("outcome", "sentence"),
    [
        (Outcome.AGREES, "The setting agrees with the measurement."),
        (Outcome.OFFERED, "The measurement differs from the setting."),
    ],
)
def test_it_says_whether_the_setting_agrees(outcome, sentence):
    assert outcome_sentence(_finding(outcome)) == sentence


@pytest.mark.parametrize("outcome", Outcome)
def test_every_outcome_has_a_sentence(outcome):
    assert outcome_sentence(_finding(outcome)).endswith(".")


@pytest.mark.parametrize("why", ExclusionReason)
def test_every_reason_has_words(why):
    assert left_out_reason(why)


def test_what_counts_has_no_reason():
    assert left_out_reason(None) == ""
