"""Ten balloons on the scales: what the grams change in the hours, before they are kept."""

import pytest

from app.store.models import BalloonTypeRow
from tests.places.payloads import Page, take, words


def _weigh(client, balloon_type=4, **sent):
    return client.get(f"/office/balloon-types/{balloon_type}/weigh", query_string=sent)


def _saved(database, balloon_type=4):
    with database.reading() as session:
        return session.get(BalloonTypeRow, balloon_type).mass_g


def test_it_shows_the_hours_as_they_are(client):
    """15 hours for an 11-inch of 3.0 g, about 150 treated: common practice, no source."""
    said = words(_weigh(client).text)
    assert "kept is 3 g each" in said
    assert "Untreated, as likely up as down 15 h" in said
    assert "Untreated, 95 % sure 9.9 h" in said
    assert "Treated, as likely up as down 6." in said


def test_what_ten_weigh_shows_what_changes_and_keeps_nothing(client, database):
    """By the closed form: 24.1 · 3.3 · ((4.05/1.0383)^(−1/3) − 11.42^(−1/3)) hours."""
    said = words(_weigh(client, ten="33").text)
    assert "Kept: 3 g Weighed: 3.3 g" in said
    assert "Untreated, as likely up as down 15 h 15.2 h" in said
    assert _saved(database) == 3.0


def test_kept_it_is_the_kinds_weight_and_open_orders_are_worked_out_anew(client, database):
    take(client)
    answer = client.post("/office/balloon-types/4/weigh", data={"ten": "33,3"}, follow_redirects=True)
    assert "11 in latex weighs 3.33 g each. All open orders were worked out anew." in words(answer.text)
    assert _saved(database) == 3.33


def test_a_warm_shop_shows_fewer_hours_here_and_among_the_kinds(client):
    """11 in at 30 °C against 20 °C: 15.0 h × 0.665, computed from 25 kJ/mol (from memory)."""
    client.post("/office/settings", data={"shop_celsius": "30"})
    assert "Untreated, as likely up as down 10 h" in words(_weigh(client).text)
    assert "11 in latex 11 in 10 h" in words(client.get("/office/balloon-types").text).replace("\xa0", " ")


def test_so_heavy_that_it_does_not_rise(client):
    said = words(_weigh(client, balloon_type=12, ten="200").text)
    assert "Untreated, as likely up as down 10 days does not float" in said
    assert "stated, not computed" in said


def test_what_takes_only_air_has_no_hours(client):
    assert "filled with air only: its weight changes no hours" in words(
        _weigh(client, balloon_type=11, ten="30").text
    )


@pytest.mark.parametrize(
    ("ten", "sentence"),
    [("", "is not a number"), ("heavy", "is not a number"), ("0", "out of range: 1 to 10000 g")],
)
def test_what_is_mistyped_is_told_at_its_field_and_stays(client, database, ten, sentence):
    for answer in (_weigh(client, ten=ten), client.post("/office/balloon-types/4/weigh", data={"ten": ten})):
        assert answer.status_code == 422
        page = Page(answer.text)
        assert sentence in page.problem("ten")
        assert page.describes("ten")
        assert page.values["ten"] == ten
    assert _saved(database) == 3.0


def test_a_kind_that_never_was_is_not_there(client):
    assert _weigh(client, balloon_type=999).status_code == 404
    assert client.post("/office/balloon-types/999/weigh", data={"ten": "30"}).status_code == 404
