"""An alternative pressed on the counter's form: the form that comes back is safe, and one press undoes it."""

import pytest

from tests.places.payloads import Page, payload

PARTY = payload(
    event_start__day="2026-11-28",
    event_start__hour="18:00",
    lasts_until__day="2026-11-29",
    lasts_until__hour="00:00",
    hand_over_time__day="2026-11-28",
    hand_over_time__hour="09:00",
    lines__1__what="balloon_type:12",
    lines__1__quantity="1",
    lines__1__gas="helium",
)
"""Two dozen 11-inch collected at nine for a party a week ahead, until midnight, and a foil: the latex is a no."""

WAYS = ["treat", "later", "later_part", "venue", "larger", "air", "foil", "sphere"]


def _draft(client, sent, fix):
    return client.post("/counter/draft", data=sent | {"fix": fix}).text


@pytest.mark.parametrize("way", WAYS)
def test_applied_it_makes_its_line_safe_and_undone_it_leaves_no_trace(client, way):
    before = Page(_draft(client, PARTY, "work")).values
    applied = _draft(client, PARTY, f"alternative-0-{way}")
    after = Page(applied).values
    assert "badge-safe" in applied
    assert "badge-wont-last" not in applied
    assert after["undo"]
    again = _draft(client, after, "work")
    assert "badge-wont-last" not in again
    assert Page(_draft(client, after, "undo")).values == before


def test_an_alternative_that_does_not_help_changes_nothing(client):
    before = Page(_draft(client, PARTY, "work")).values
    assert Page(_draft(client, PARTY, "alternative-1-treat")).values == before


def test_taking_a_line_out_forgets_the_undo(client):
    """What the alternative changed could no longer be named: another line would be hit."""
    after = Page(_draft(client, PARTY, "alternative-0-larger")).values
    dropped = Page(_draft(client, after, "drop-line-1")).values
    assert dropped["undo"] == ""
