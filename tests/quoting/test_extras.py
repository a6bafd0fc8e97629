"""Add-ons of an order: sold, hired, visits, and what the counter names itself."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.actions.money.account import load_account
from app.actions.records.history import history_of
from app.actions.records.rebuild_request import rebuild_request
from app.actions.records.shop import load_shop
from app.craft.money import Amount, Percent, to_decimal
from app.quoting.checks import PAST
from app.quoting.errors import NO_LONGER_SOLD, Refused
from app.quoting.extras import NO_NAME_OR_PRICE, NO_OWN_PRICE
from app.quoting.rental_returns import (
    BEFORE_THE_EVENT,
    BEFORE_THE_HAND_OVER,
    NO_RENTALS,
    NO_RETURN_TIME,
    NO_TAKE_DOWN_TIME,
    NOTHING_TO_TAKE_DOWN,
    OVER_A_YEAR_LATER,
)
from app.quoting.request import ExtraRequest, ExtraSort
from app.web.formats import Formats
from app.web.wording.caller import caller_summary
from tests.actions.builders import MORNING, at, change, design_line, order_request, problems, take
from tests.actions.supply_helpers import bouquet_on, priced, stand, supply
from tests.numbers_in import numbers_in

MONDAY = at(10, days=2)
DELIVERY = ExtraRequest(ExtraSort.DELIVERY, 1)
TAKE_DOWN = ExtraRequest(ExtraSort.TAKE_DOWN, 1)


def _refused(session, wanted):
    with pytest.raises(Refused) as refusal:
        take(session, wanted)
    return problems(refusal)


@pytest.fixture
def bear(session):
    return supply(session)


@pytest.fixture
def arch(session):
    return stand(session)


def test_it_is_sold_at_the_shops_price_and_kept(session, catalogue, bear):
    priced(session)
    order = take(session, order_request(catalogue, extras=(ExtraRequest(ExtraSort.SUPPLY, 2, bear.id), DELIVERY)))
    saved = [(one.sort, one.title, one.quantity, one.unit_minor) for one in order.extras]
    assert saved == [("supply", "Plush bear", 2, 450), ("delivery", "Delivery", 1, 1500)]
    assert order.total_minor == 24 * 110 + 2 * 450 + 1500


def test_a_price_that_was_named_counts_more_than_the_shops(session, catalogue, bear):
    order = take(
        session, order_request(catalogue, extras=(ExtraRequest(ExtraSort.SUPPLY, 2, bear.id, unit_minor=300),))
    )
    assert order.total_minor == 24 * 110 + 2 * 300


def test_what_is_in_own_words_needs_its_words_and_its_price(session, catalogue):
    own = ExtraRequest(ExtraSort.OTHER, 1, title="Night watch", unit_minor=5000)
    for wanting in (replace(own, title=""), replace(own, unit_minor=None)):
        told = _refused(session, order_request(catalogue, extras=(wanting,)))
        assert told["extras.0.what"] == [NO_NAME_OR_PRICE]
    assert take(session, order_request(catalogue, extras=(own,))).extras[0].title == "Night watch"


def test_a_supply_that_is_not_there_stands_at_its_add_on(session, catalogue, bear):
    wanted = order_request(
        catalogue, extras=(ExtraRequest(ExtraSort.SUPPLY, 1, bear.id), ExtraRequest(ExtraSort.SUPPLY, 1, 999))
    )
    assert _refused(session, wanted) == {"extras.1.what": [NO_LONGER_SOLD]}


def test_a_supply_without_a_price_is_sold_at_one_that_is_named(session, catalogue):
    bag = supply(session, "Clear bag", "bag", price_minor=None)
    wanted = ExtraRequest(ExtraSort.SUPPLY, 1, bag.id)
    told = _refused(session, order_request(catalogue, extras=(wanted,)))
    assert told == {"extras.0.what": [NO_OWN_PRICE.format(name=bag.name)]}
    assert (
        take(session, order_request(catalogue, extras=(replace(wanted, unit_minor=100),))).extras[0].unit_minor
        == 100
    )


def test_a_retired_supply_stays_with_the_order_that_has_it_and_is_sold_no_more(session, catalogue, bear):
    order = take(session, order_request(catalogue, extras=(ExtraRequest(ExtraSort.SUPPLY, 2, bear.id),)))
    bear.archived_at = MORNING
    changed = change(session, order, replace(rebuild_request(order), notes="Side door."))
    assert changed.extras[0].title == "Plush bear"
    wanted = order_request(catalogue, extras=(ExtraRequest(ExtraSort.SUPPLY, 1, bear.id),))
    assert _refused_again(session, wanted)["extras.0.what"] == [NO_LONGER_SOLD]


def _refused_again(session, wanted):
    with pytest.raises(Refused) as refusal:
        take(session, wanted, key="key-2")
    return problems(refusal)


def test_the_same_form_twice_is_one_order_with_its_add_ons(session, catalogue, arch):
    wanted = order_request(
        catalogue, extras=(ExtraRequest(ExtraSort.RENTAL, 1, arch.id), DELIVERY), return_by=MONDAY
    )
    assert take(session, wanted) is take(session, wanted)


def _rented(catalogue, arch, **changes):
    return order_request(catalogue, extras=(ExtraRequest(ExtraSort.RENTAL, 1, arch.id),), **changes)


def test_hired_goods_come_back_by_an_hour_or_are_fetched_at_one(session, catalogue, arch):
    assert _refused(session, _rented(catalogue, arch)) == {"return_by": [NO_RETURN_TIME]}
    assert take(session, _rented(catalogue, arch, return_by=MONDAY)).return_by == MONDAY
    assert take(session, _rented(catalogue, arch, take_down_at=at(18)), key="key-2").take_down_at == at(18)


def test_hired_goods_in_a_recipe_come_back_too(session, catalogue, arch):
    design = bouquet_on(session, arch)
    wanted = order_request(catalogue, design_line(design))
    assert _refused(session, wanted) == {"return_by": [NO_RETURN_TIME]}
    order = take(session, replace(wanted, return_by=MONDAY))
    assert [(rental.name, rental.quantity, rental.deposit_minor) for rental in order.rentals] == [
        ("Arch stand", 1, 3000)
    ]
    assert order.rental_deposit_minor == 3000


def test_a_take_down_needs_its_hour(session, catalogue):
    priced(session)
    wanted = order_request(catalogue, extras=(TAKE_DOWN,))
    assert _refused(session, wanted)["take_down_at"] == [NO_TAKE_DOWN_TIME]
    assert take(session, replace(wanted, take_down_at=at(18))).take_down_at == at(18)


@pytest.mark.parametrize("field", ["return_by", "take_down_at"])
@pytest.mark.parametrize(
    ("moment", "start"),
    [
        (at(15), BEFORE_THE_EVENT),
        (at(13), BEFORE_THE_EVENT),
        (at(6), PAST),
        (at(17, days=367), OVER_A_YEAR_LATER),
    ],
)
def test_an_hour_that_cannot_be_stands_at_its_field(session, catalogue, arch, field, moment, start):
    said = _refused(session, _rented(catalogue, arch, **{field: moment}))[field]
    assert any(sentence.startswith(start) for sentence in said)


def test_the_day_a_year_after_is_still_taken(session, catalogue, arch):
    latest = at(17) + timedelta(days=366)
    assert take(session, _rented(catalogue, arch, return_by=latest)).return_by == latest


def test_without_an_event_they_are_back_after_they_were_handed_over(session, catalogue, arch):
    hours = {"occasion": "until", "event_start": None, "ready_by": at(14), "lasts_until": at(17)}
    told = _refused(session, _rented(catalogue, arch, return_by=at(14), **hours))
    assert told["return_by"] == [BEFORE_THE_HAND_OVER]


def test_an_hour_for_nothing_that_is_hired_is_told(session, catalogue):
    assert _refused(session, order_request(catalogue, return_by=MONDAY)) == {"return_by": [NO_RENTALS]}
    told = _refused(session, order_request(catalogue, take_down_at=MONDAY))
    assert told == {"take_down_at": [NOTHING_TO_TAKE_DOWN]}


def test_an_hour_that_has_passed_meanwhile_hinders_no_change(session, catalogue, arch):
    order = take(session, _rented(catalogue, arch, return_by=at(18)))
    later, said = at(9, days=1), {"accepted_risk": "They have it already.", "bench_override": "It has left."}
    assert (
        change(session, order, replace(rebuild_request(order), notes="Side door.", **said), later).notes
        == "Side door."
    )


def test_more_than_the_store_can_keep_is_refused(session, catalogue):
    own = ExtraRequest(ExtraSort.OTHER, 1000, title="Gold", unit_minor=999_999_999)
    assert set(_refused(session, order_request(catalogue, extras=(own,)))) == {"order"}


def test_the_history_tells_add_ons_discount_tax_and_the_way_back(session, catalogue, bear, arch):
    priced(session, tax_mode="inclusive", tax_percent=20)
    extras = (ExtraRequest(ExtraSort.SUPPLY, 2, bear.id), ExtraRequest(ExtraSort.RENTAL, 1, arch.id), TAKE_DOWN)
    hours = {"return_by": MONDAY, "take_down_at": at(18)}
    order = take(session, order_request(catalogue, extras=extras, discount=Percent(to_decimal(10)), **hours))
    told = dict(history_of(session, order)[-1].description)
    assert told["extra 1"] == "2 × Plush bear at 4.50"
    assert told["extra 2"] == "1 × Arch stand at 12.00, security deposit 30.00 each"
    assert told["discount"] == "10%"
    assert numbers_in(told["tax"]) == [20]
    assert "included" in told["tax"]
    assert told["rentals back by"] == "Mon 23 Nov 2026 10:00"
    assert told["take-down"] == "Sat 21 Nov 2026 18:00"


def test_a_change_of_the_price_is_in_the_history(session, catalogue, bear):
    order = take(session, order_request(catalogue, extras=(ExtraRequest(ExtraSort.SUPPLY, 2, bear.id),)))
    cheaper = (ExtraRequest(ExtraSort.SUPPLY, 2, bear.id, unit_minor=400),)
    change(session, order, replace(rebuild_request(order), extras=cheaper, discount=Amount(550)))
    changes = history_of(session, order)[-1].changes
    assert ["discount", "–", "5.50"] in changes
    assert ["extra 1", "2 × Plush bear at 4.50", "2 × Plush bear at 4.00"] in changes


def test_the_read_back_tells_add_ons_total_and_deposits(session, catalogue, arch):
    priced(session, tax_mode="on top", tax_percent=20, deposit_percent=50)
    order = take(session, _rented(catalogue, arch, return_by=MONDAY))
    formats = Formats.of(load_shop(session))
    said = caller_summary(order, load_account(session, order).balance, formats)
    assert "1 × Arch stand" in said
    assert formats.moment(MONDAY) in said
    amounts = (4608, 3000, 7608, 2304)  # 26.40 and 12.00, and a fifth of it; the deposit; both; half of the price
    assert all(formats.money(minor) in said for minor in amounts)


def test_a_retired_supply_stays_where_it_is_and_is_sold_to_nobody_else(session, catalogue, bear):
    wanted = order_request(catalogue, extras=(ExtraRequest(ExtraSort.SUPPLY, 1, bear.id),))
    order = take(session, wanted)
    bear.archived_at = MORNING
    more = replace(rebuild_request(order), extras=(ExtraRequest(ExtraSort.SUPPLY, 2, bear.id),))
    assert change(session, order, more).extras[0].quantity == 2
    named = replace(wanted, extras=(ExtraRequest(ExtraSort.SUPPLY, 1, bear.id, unit_minor=300),))
    with pytest.raises(Refused) as refusal:
        take(session, named, key="another")
    assert problems(refusal)["extras.0.what"] == [NO_LONGER_SOLD]
