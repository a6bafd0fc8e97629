"""What pages say of wind and heat at the venue."""

import pytest

from app.actions.records.shop import load_shop
from app.physics.light import Surroundings
from app.web.formats import Formats
from app.web.wording.outdoors import WeighedPiece, advise, weight_sentence
from tests.actions.builders import order_request

HELD = WeighedPiece("11 in latex", "helium", has_weight=True, filled_smaller=False)
SMALLER = WeighedPiece("11 in latex", "helium", has_weight=False, filled_smaller=True)
BELOW = (("11 in latex", 96.2), ("Sea bouquet", 870.0), ("Doorway column", None))


@pytest.fixture
def said(session, catalogue):
    shop = load_shop(session)

    def do(*pieces, **changes):
        request, formats = order_request(catalogue, **changes), Formats.of(shop)
        return [one.text for one in advise(request, pieces, BELOW, shop, formats)]

    return do


def test_each_wind_has_its_advice_and_a_bouquet_one_weight(said):
    shade = {"surroundings": Surroundings.SHADE}
    asked, calm, windy = (said(HELD, **shade, wind_m_s=wind)[0] for wind in (None, 4, 8))
    weights = "97 g on each 11 in latex, 870 g on each Sea bouquet."
    assert asked == f"Ask for the wind forecast. In 5 m/s of wind use at least {weights}"
    assert calm == f"In 4 m/s of wind use at least {weights}"
    assert windy == (
        "Too windy for helium outdoors: 8 m/s, the limit is 5 m/s. Offer a room indoors, or air-filled balloons on"
        f" a base. With helium use at least {weights}"
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


TREATED = WeighedPiece("11 in latex", "helium", has_weight=True, filled_smaller=False, treated=True)
FOIL = WeighedPiece("18 in foil", "helium", has_weight=False, filled_smaller=False, film="foil balloons")
AIR_FOIL = WeighedPiece("9 in foil", "air", has_weight=False, filled_smaller=False, film="foil balloons")


@pytest.mark.parametrize(
    ("pieces", "changes", "lines"),
    [
        ([TREATED], {"surroundings": Surroundings.SHADE}, ["Not included: how damp air weakens the treatment."]),
        ([TREATED], {}, []),
        ([HELD], {"surroundings": Surroundings.SHADE}, []),
        ([FOIL], {"venue_celsius": 33.0}, ["Not included: what warmth does to foil balloons."]),
        ([FOIL], {"venue_celsius": 30.0}, []),
        ([FOIL], {"surroundings": Surroundings.SUN}, ["Not included: what warmth does to foil balloons."]),
        ([AIR_FOIL, HELD], {"venue_celsius": 33.0}, []),
        (
            [TREATED, FOIL],
            {"surroundings": Surroundings.SUN, "venue_celsius": 33.0},
            ["Not included: how damp air weakens the treatment; what warmth does to foil balloons."],
        ),
    ],
)
def test_one_line_names_what_the_chances_leave_out_here(said, pieces, changes, lines):
    assert [text for text in said(*pieces, **changes) if text.startswith("Not included")] == lines


def test_gusts_are_named_outdoors(said):
    assert any("Gusts are not included" in text for text in said(HELD, surroundings=Surroundings.SHADE))
