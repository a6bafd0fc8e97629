"""What pages say of wind and heat at the venue."""

import pytest

from app.actions.records.shop import load_shop
from app.physics.light import Surroundings
from app.web.formats import Formats
from app.web.wording.outdoors import WeighedPiece, advise, weight_sentence
from tests.actions.builders import order_request

HELD = WeighedPiece("11 in latex", "helium", 96.2, filled_smaller=False)
SMALLER = WeighedPiece("11 in latex", "helium", None, filled_smaller=True)


@pytest.fixture
def said(session, catalogue):
    shop = load_shop(session)

    def do(*pieces, **changes):
        return [one.text for one in advise(order_request(catalogue, **changes), pieces, shop, Formats.of(shop))]

    return do


def test_each_wind_has_its_advice(said):
    shade = {"surroundings": Surroundings.SHADE}
    asked, calm, windy = (said(HELD, **shade, wind_m_s=wind)[0] for wind in (None, 4, 8))
    assert asked == "Ask for the wind forecast. In 5 m/s use at least 97 g on each 11 in latex."
    assert calm == "In 4 m/s of wind use at least 97 g on each 11 in latex."
    assert windy == (
        "Too windy for helium outdoors: 8 m/s, the limit is 5 m/s. Offer a room indoors, or air-filled balloons on"
        " a base. With helium use at least 97 g on each 11 in latex."
    )


def test_a_hot_room_has_its_own(said):
    assert said(SMALLER, venue_celsius=33.0) == [
        "At 33 °C balloons swell and may burst. Keep them cool and out of the sun as long as you can, never in a"
        " parked car.",
        "Filled smaller because of it: 11 in latex.",
        "Some may burst in the heat. That is not included in the chances.",
    ]
    assert said(HELD) == []


def test_the_weight_of_one(session):
    formats = Formats.of(load_shop(session))
    assert weight_sentence(96.2, formats) == "Outdoors, weigh down each with at least 97 g."
    assert weight_sentence(None, formats) == ""
