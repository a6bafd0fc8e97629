"""When the crew leaves that fills at a venue: as late as its filling demands.

The worked case: access 15:00, travel 40 min, set-up 20, filling 50, hanging 25, to be filled by 17:45, which is
when the fill must start; so the crew leaves at 16:45. The hours are computed by hand; a sum needs no source.
"""

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.physics.balloon import BalloonType
from app.physics.material import Material
from app.planning.opening import Opening
from app.planning.workplace import Trip
from app.quoting.catalogue import BalloonOffer, Catalogue
from app.quoting.quote import Commitments, make_quote
from app.quoting.request import HandOver, LineRequest, Occasion, OrderRequest
from app.quoting.shop import DEFAULT_VALUES, build_shop

OPEN = Opening(ZoneInfo("UTC"), {weekday: (time(8), time(18)) for weekday in range(7)})
ELEVEN = BalloonOffer(
    11, BalloonType("11 in latex", Material.LATEX, 11, 3.0), "round", 100, None, None, 100, 1000, None
)
CATALOGUE = Catalogue({11: ELEVEN}, {}, {})


def _at(hour, minute=0):
    return datetime(2026, 11, 27, hour, minute, tzinfo=UTC)


def crew_shop(filling=50, **settings):
    """A shop in which a batch takes so many minutes, with no finishing."""
    values = {
        **DEFAULT_VALUES,
        **dict.fromkeys(("handle_seconds", "seal_seconds", "treat_seconds"), 0.0),
        "prepare_minutes": filling - 1e-6,
        "finishing_minutes": 0.0,
        "helium_l_per_s": 1e9,
        "spares_percent": 0.0,
    }
    return build_shop(values | settings, OPEN)


def crew_quote(shop, **changes):
    fields = {
        "hand_over": HandOver.VENUE,
        "arrives_at": _at(15),
        "event_start": _at(19),
        "lasts_until": _at(23),
        "travel_minutes": 40,
        "set_up_minutes": 20,
        "hanging_minutes": 25,
        "crew": 2,
    } | changes
    lines = (LineRequest(11, None, 24),)
    access = fields["arrives_at"] - timedelta(minutes=fields["travel_minutes"])
    request = OrderRequest("Case", "", Occasion.EVENT, lines, access, **fields)
    return make_quote(request, shop, CATALOGUE, _at(8))


def test_the_crew_leaves_when_its_filling_demands():
    quote = crew_quote(crew_shop())
    assert quote.first_fill_by == quote.batches[0].window.inflate_by == _at(17, 45)
    assert quote.leaves_at == quote.crew_leaves_at == _at(16, 45)


@pytest.mark.parametrize(
    ("margin", "leaves"),
    [(0, _at(16, 45)), (15, _at(16, 30)), (90, _at(15, 15)), (145, _at(14, 20)), (600, _at(14, 20))],
)
def test_the_margin_of_the_shop_is_earlier_but_nobody_waits_at_the_door(margin, leaves):
    assert crew_quote(crew_shop(crew_margin_minutes=margin)).leaves_at == leaves


def test_a_crew_without_time_to_spare_leaves_so_that_it_is_there_when_it_can_enter():
    assert crew_quote(crew_shop(), arrives_at=_at(17, 25)).leaves_at == _at(16, 45)
    assert crew_quote(crew_shop(), arrives_at=_at(17, 30)).leaves_at == _at(16, 50)


def test_two_batches_and_the_finishing_are_all_done_before_hanging():
    """Fills of 50 minutes and ten of finishing; the coat of the treated batch dries for two hours before that."""
    shop = crew_shop(finishing_minutes=10.0)
    one = crew_quote(shop)
    assert one.leaves_at == _at(16, 35)
    lines = (LineRequest(11, None, 24), LineRequest(11, None, 24, treated=True))
    two = make_quote(replace(one.request, lines=lines), shop, CATALOGUE, _at(8))
    assert two.first_fill_by == _at(15, 35)
    assert two.leaves_at == _at(14, 35)


def test_what_was_started_does_not_move_it():
    quote = crew_quote(crew_shop())
    (batch,) = quote.batches
    begun = Commitments(started={batch.fill.spec: _at(17, 40)}, hand_over=HandOver.VENUE)
    assert make_quote(quote.request, crew_shop(), CATALOGUE, _at(17, 50), begun).leaves_at == _at(16, 45)


def test_other_hand_overs_leave_when_they_did():
    for way in (HandOver.COLLECT, HandOver.DELIVER):
        quote = crew_quote(crew_shop(), hand_over=way)
        assert (quote.leaves_at, quote.crew_leaves_at) == (_at(14, 20), None)


minutes = st.integers(0, 300).map(lambda count: timedelta(minutes=count))


@given(minutes, minutes, minutes, minutes, minutes)
def test_it_is_in_time_for_its_first_fill_wherever_the_venue_allows_it(slack, travel, set_up, hanging, margin):
    first_fill_by = _at(15) + set_up + slack
    trip = Trip(_at(15), _at(23), travel, set_up, hanging)
    leaves = trip.leaves_by(first_fill_by, margin)
    arrives = leaves + travel
    assert trip.access <= arrives <= first_fill_by - set_up
    assert arrives == trip.access or first_fill_by - set_up - arrives == margin
