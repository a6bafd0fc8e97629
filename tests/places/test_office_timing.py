"""A timed fill: what flow it is, what every size then takes, before it is saved.

Seconds in these tests are worked out by the cube of the diameter from what was timed, not by the code's litres.
"""

import re

import pytest
from sqlalchemy import select

from app.actions.records.shop import load_shop
from app.physics.material import Material
from app.places.office.timing import (
    AIR_ONLY,
    ALWAYS_FULL,
    CHOOSE_TYPE,
    LITRES_UNKNOWN,
    LONGEST_S,
    MOST_FILLS,
    NO_SUCH_FLOW,
    POINTS,
    SHORTEST_S,
)
from app.store.models import OrderBatch
from app.web.wording.forms import choose_from, enter_number, enter_whole
from tests.places.payloads import Page, words
from tests.places.settings_pages import page_with

TIMED = {"gas": "helium", "balloon_type": "4", "size": "", "fills": "10", "seconds": "50"}
"""Ten 11-inch latex."""
SECONDS = enter_number(SHORTEST_S, LONGEST_S, "s").replace("3600", "3,600")
FLOW_ROUNDED = 0.005
"""A flow is saved to three figures: at worst 1.005 as 1.00 or 1.01."""


def _time(client, **changes):
    return client.get("/office/timing", query_string=TIMED | changes)


def _save(client, **changes):
    return client.post("/office/timing", data=TIMED | changes)


def _work_times(database):
    with database.reading() as session:
        return load_shop(session).work_times


def _work_minutes(database):
    with database.reading() as session:
        return session.scalars(select(OrderBatch.work_minutes)).one()


def _column(page, last=True):
    """The seconds by size of the table's last column, or of the one before it."""
    rows = re.findall(r'<th scope="row">([^<]+)</th>(.*?)</tr>', page, re.DOTALL)
    return {size: re.findall(r"<td>([^<]+)</td>", cells)[-1 if last else -2] for size, cells in rows}


def _flows(page):
    """The flow of each column of the table, and that of a timing if there is one."""
    tags = Page(page).tags
    columns = [float(tag["data-flow"]) for name, tag in tags if name == "th" and "data-flow" in tag]
    return columns, [float(tag["data-flow"]) for name, tag in tags if name == "section" and "data-flow" in tag]


def test_before_a_timing_it_shows_the_settings_of_both_points(client):
    page = client.get("/office/timing").text
    assert _flows(page) == ([3.0, 5.0], [])
    assert "save" not in Page(page).by_id
    assert (_column(page, last=False)["11 in"], _column(page)["11 in"]) == ("3.8 s", "2.3 s")


def test_a_timing_says_what_every_size_takes_and_saves_nothing(client, database):
    page = _time(client).text
    expected = {size: 5.0 * (size / 11) ** 3 for size in (5, 9, 11, 16, 18, 36)}
    for size, shown in _column(page).items():
        seconds = expected.pop(int(size.removesuffix(" in")))
        rounding = 0.051 if seconds < 9.95 else 0.51
        assert float(shown.removesuffix(" s")) == pytest.approx(seconds, abs=rounding + FLOW_ROUNDED * seconds)
    assert not expected
    assert _column(page, last=False)["11 in"] == "3.8 s"
    assert "save" in Page(page).by_id
    assert _work_times(database).helium_l_per_s == 3.0


def test_saved_it_is_the_flow_of_the_point_and_open_orders_are_recalculated(client, database, number):
    before = _work_minutes(database)
    answer = _save(client, seconds="400")
    assert answer.status_code == 303
    work_times = _work_times(database)
    assert (work_times.helium_l_per_s, work_times.air_l_per_s) == (0.286, 5.0)
    assert _work_minutes(database) - before == pytest.approx(24 * (40 - 3.8) / 60, abs=1)
    assert "40 s" in words(client.get(f"/bench/batches/{number}-1").text)


def test_air_is_timed_at_the_size_the_shop_fills_it_to(client, database):
    """An 11-inch with air is usually 9 in: common practice, no source."""
    page = _time(client, gas="air", fills="5", seconds="10").text
    assert _column(page)["9 in"] == "2.0 s"
    assert _save(client, gas="air", fills="5", seconds="10").status_code == 303
    assert _work_times(database).helium_l_per_s == 3.0
    assert _work_times(database).air_l_per_s == pytest.approx(
        5 * 6.26 / 10, rel=0.01
    )  # 6.26 L: π/6 · (9 · 0.254 dm)³


def test_the_size_may_be_typed_in_the_shops_unit(client):
    assert _column(_time(client, size="9", fills="1", seconds="2.5").text)["9 in"] == "2.5 s"
    client.post("/office/settings", data={"length": "cm"})
    page = _time(client, size="22,9", fills="1", seconds="2.5")
    assert _column(page.text)["22.9 cm"] == "2.5 s"
    assert Page(page.text).values["size"] == "22,9"


def test_a_foil_is_timed_by_its_litres(client, database):
    """An 18-inch foil takes 14 L: as its balloon type says."""
    assert _save(client, balloon_type="12", fills="2", seconds="8").status_code == 303
    assert _work_times(database).helium_l_per_s == 3.5


@pytest.mark.parametrize(
    ("field", "changes", "sentence"),
    [
        ("gas", {"gas": "steam"}, choose_from(POINTS.values())),
        ("balloon_type", {"balloon_type": "999"}, CHOOSE_TYPE),
        ("balloon_type", {"balloon_type": "11"}, AIR_ONLY.format(name="9 in foil")),
        ("size", {"size": "12"}, enter_number(3.3, 11, "in")),
        ("size", {"size": "big"}, enter_number(3.3, 11, "in")),
        ("size", {"balloon_type": "12", "size": "18"}, ALWAYS_FULL.format(material=Material.FOIL)),
        ("fills", {"fills": "0"}, enter_whole(1, MOST_FILLS)),
        ("fills", {"fills": ""}, enter_whole(1, MOST_FILLS)),
        *(("seconds", {"seconds": typed}, SECONDS) for typed in ("0", "nan", "soon")),
        ("seconds", {"seconds": "1"}, NO_SUCH_FLOW.format(flow=114, low=0.1, high=50)),
        ("seconds", {"seconds": "3600", "fills": "1"}, NO_SUCH_FLOW.format(flow=0.00317, low=0.1, high=50)),
    ],
)
def test_what_is_mistyped_has_its_problem_at_its_field_and_nothing_is_saved(
    client, database, field, changes, sentence
):
    for answer in (_time(client, **changes), _save(client, **changes)):
        assert answer.status_code == 422
        page = Page(answer.text)
        assert page.problem(field) == sentence
        assert page.describes(field) or field == "gas"
        assert "save" not in page.by_id
        for name in changes.keys() & {"size", "fills", "seconds"}:
            assert page.values[name] == changes[name]
    assert (_work_times(database).helium_l_per_s, _work_times(database).air_l_per_s) == (3.0, 5.0)


def test_a_film_of_unknown_litres_is_no_measure(client, database):
    from app.store.models import BalloonTypeRow  # noqa: PLC0415

    with database.writing() as session:
        letter = BalloonTypeRow(name="16 in letter", material="foil", nominal_in=16, mass_g=7, size_factor=1)
        letter.air_only, letter.price_minor = True, 100
        session.add(letter)
        session.flush()
        balloon_type = str(letter.id)
    answer = _time(client, gas="air", balloon_type=balloon_type)
    assert Page(answer.text).problem("balloon_type") == LITRES_UNKNOWN.format(name="16 in letter")


def test_the_settings_lead_to_it(client):
    page = page_with(client, "helium_l_per_s")
    assert 'href="/office/timing?gas=helium"' in page
    assert 'href="/office/timing?gas=air"' in page
