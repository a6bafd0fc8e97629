"""What an order costs the shop: each line against decimals by hand, and the price computed from it."""

from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

import pytest

from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_settings
from app.craft.build import Build, Construction, write_build
from app.craft.cost import CostLine, cost_minor
from app.quoting.costs import design_cost, design_price_minor, least_list_price, loose_cost
from app.quoting.order_cost import cost_of
from app.quoting.quote import make_quote
from app.quoting.request import ExtraRequest, ExtraSort, HandOver, Occasion, Service
from app.store.models import BalloonTypeRow, DesignSupplyRow, SupplyRow
from tests.actions.builders import MORNING, at, balloon_type_id, bouquet, design_line, line, order_request, take

LITRES_11 = Decimal("11.4204")
"""π/6 · (11 in)³, by hand."""
PRICES = {
    "spares_percent": 5,
    "hour_minor": 1800,
    "helium_m3_minor": 6000,
    "ribbon_m": 1.5,
    "treat_ml": 6,
}


@pytest.fixture
def priced(session):
    """A shop that knows what its things cost."""
    change_settings(session, PRICES)
    latex = session.get(BalloonTypeRow, balloon_type_id(load_catalogue(session)))
    latex.pack_size, latex.pack_minor = 100, 1250
    for name, sort, unit, size, minor, deposit in (
        ("ribbon", "ribbon", "metre", 450.0, 900, 0),
        ("coat", "treatment", "millilitre", 700.0, 2100, 0),
        ("star weight", "weight", "piece", 10.0, 800, 0),
        ("pole", "rental", "piece", 1.0, 4000, 2500),
    ):
        session.add(
            SupplyRow(
                name=name,
                sort=sort,
                unit=unit,
                pack_size=size,
                pack_minor=minor,
                price_minor=300,
                deposit_minor=deposit,
            )
        )
    session.flush()
    return session


def _minor(number):
    return int(Decimal(number).quantize(Decimal(1), ROUND_HALF_UP))


def _cost(session, *lines, **changes):
    shop, catalogue = load_shop(session), load_catalogue(session)
    quote = make_quote(order_request(catalogue, *lines, **changes), shop, catalogue, MORNING)
    return quote, {one.title: one.minor for one in cost_of(quote, catalogue, shop)}


def _supply(session, name):
    return next(row for row in load_catalogue(session).supplies.values() if row.name == name)


def test_two_dozen_loose_ones_cost_their_latex_gas_ribbon_and_minutes(priced):
    quote, cost = _cost(priced, line(load_catalogue(priced), quantity=24))
    batch = quote.batches[0].fill
    pieces = 24 + 2  # 5 % of 24, rounded up
    minutes = batch.work.total_seconds() / 60 + quote.finishing.total_seconds() / 60
    assert cost == {
        "11 in latex": _minor(Decimal(1250) / 100 * pieces),
        "helium": _minor(Decimal(6000) / 1000 * LITRES_11 * pieces),
        "ribbon": _minor(Decimal(900) / 450 * 24 * Decimal("1.5")),
        "work": _minor(Decimal(1800) / 60 * Decimal(minutes)),
    }


def test_spares_are_work_too(priced):
    with_spares = _cost(priced, line(load_catalogue(priced), quantity=24))[0].batches[0].fill
    change_settings(priced, {"spares_percent": 0})
    without = _cost(priced, line(load_catalogue(priced), quantity=24))[0].batches[0].fill
    assert (with_spares.spares, without.spares) == (2, 0)
    assert with_spares.work > without.work


def test_what_is_sold_at_once_and_what_cannot_burst_needs_no_spares(priced):
    catalogue = load_catalogue(priced)
    at_once = _cost(priced, line(catalogue), occasion=Occasion.NOW, event_start=None, lasts_until=None)[0]
    foil = _cost(priced, line(catalogue, "18 in foil", colours="star"))[0]
    assert [plan.fill.spares for plan in (*at_once.batches, *foil.batches)] == [0, 0]


def test_the_ribbon_whose_cost_is_told_is_the_one_that_is_used(priced):
    """The shelves' own stands before it and costs nothing yet."""
    names = [row.name for row in load_catalogue(priced).supplies.values() if row.sort == "ribbon"]
    assert names == ["Curling ribbon 5 mm", "ribbon"]
    assert _cost(priced, line(load_catalogue(priced), quantity=24))[1]["ribbon"] == 72
    for row in priced.query(SupplyRow).filter_by(name="ribbon"):
        row.archived_at = MORNING
    assert (
        not {"ribbon", "Curling ribbon 5 mm"} & _cost(priced, line(load_catalogue(priced), quantity=24))[1].keys()
    )


def test_treated_ones_cost_their_coat_by_the_surface(priced):
    cost = _cost(priced, line(load_catalogue(priced), quantity=20, treated=True))[1]
    assert cost["coat"] == _minor(Decimal(2100) / 700 * 6 * 21)


def test_a_crew_at_the_venue_costs_its_hours(priced):
    catalogue = load_catalogue(priced)
    at_venue = {"hand_over": HandOver.VENUE, "arrives_at": at(12), "ready_by": at(11), "travel_minutes": 60}
    quote, cost = _cost(priced, line(catalogue), **at_venue, set_up_minutes=20, hanging_minutes=30, crew=2)
    filling = (sum(plan.fill.work.total_seconds() for plan in quote.batches) + quote.finishing.total_seconds()) / 60
    assert cost["work"] == _minor(Decimal(30) * Decimal(filling + 2 * (2 * 60 + 20 + 30)))


@pytest.mark.parametrize(
    ("form", "cm"),
    [(Construction.STRINGS, (362, 334, 306, 278, 250, 222, 194, 166, 138, 110)), (Construction.LOOSE, None)],
)
def test_the_ribbon_of_a_design_is_as_its_cut_list_says(priced, form, cm):
    """Strings by hand: a metre to the knot, 10 cm for tying, and 27.94 cm for each balloon of 11 in below, the foil
    on top of nine; loose ones 1.5 m each."""
    catalogue = load_catalogue(priced)
    design = bouquet(priced, catalogue)
    design.build = write_build(Build(form))
    priced.flush()
    metres = Decimal(sum(cm)) / 100 if cm else 10 * Decimal("1.5")
    assert _cost(priced, design_line(design, quantity=3))[1]["ribbon"] == _minor(Decimal(900) / 450 * 3 * metres)
    assert _cost_of_one(priced, design)["ribbon"] == _minor(Decimal(900) / 450 * metres)


def _cost_of_one(session, design):
    return {one.title: one.minor for one in design_cost(design, load_catalogue(session), load_shop(session))}


def test_a_take_down_costs_its_visit(priced):
    """Two hands: twenty minutes there, half an hour on the spot, twenty back."""
    catalogue, added = load_catalogue(priced), (ExtraRequest(ExtraSort.TAKE_DOWN, 1),)
    plain = {"hand_over": HandOver.DELIVER, "arrives_at": at(14, 20), "travel_minutes": 20}
    without = _cost(priced, line(catalogue), **plain)[1]["work"]
    fetched = _cost(priced, line(catalogue), **plain, extras=added, take_down_at=at(23))[1]["work"]
    assert fetched - without == 30 * 2 * (20 + 30 + 20)


def test_a_design_costs_its_supplies_and_a_hired_piece_its_wear(priced):
    catalogue = load_catalogue(priced)
    design = bouquet(priced, catalogue)
    design.supplies += [
        DesignSupplyRow(position=0, supply_id=_supply(priced, "star weight").id, quantity=2),
        DesignSupplyRow(position=1, supply_id=_supply(priced, "pole").id, quantity=1),
    ]
    priced.flush()
    cost = _cost(priced, design_line(design, quantity=3))[1]
    assert cost["star weight"] == _minor(Decimal(800) / 10 * 6)
    assert cost["pole, wear"] == _minor(Decimal(4000) / 20 * 3)


def test_the_order_keeps_its_cost_and_every_line_of_it(priced):
    catalogue, pole = load_catalogue(priced), _supply(priced, "pole")
    added = (ExtraRequest(ExtraSort.RENTAL, 2, pole.id), ExtraRequest(ExtraSort.DELIVERY, 1, unit_minor=500))
    order = take(priced, order_request(catalogue, extras=added, return_by=at(12, days=2)))
    assert order.cost_minor == sum(minor for _, minor in order.cost)
    assert dict(order.cost)["pole, wear"] == 400
    assert [(rental.name, rental.quantity, rental.deposit_minor) for rental in order.rentals] == [("pole", 2, 2500)]
    assert order.total_minor == 24 * 110 + 2 * 300 + 500
    assert order.rental_deposit_minor == 5000


def test_a_computed_price_is_the_cost_with_the_markup_on_the_next_step(priced):
    change_settings(priced, {"markup_percent": 150, "price_step_minor": 50})
    design = bouquet(priced, load_catalogue(priced), price=1)
    design.computed = True
    priced.flush()
    shop, catalogue = load_shop(priced), load_catalogue(priced)
    cost = cost_minor(design_cost(design, catalogue, shop))
    price = (Decimal(cost) * Decimal("2.5") / 50).quantize(Decimal(1), ROUND_CEILING) * 50
    assert cost > 0
    assert design_price_minor(design, catalogue, shop) == price
    order = take(priced, order_request(catalogue, design_line(design)))
    assert order.lines[0].unit_minor == price


def test_what_has_no_cost_yet_is_left_out(session):
    assert _cost(session, line(load_catalogue(session)))[1] == {}


def test_the_customers_own_foil_costs_gas_and_work_only(priced):
    foil = priced.get(BalloonTypeRow, balloon_type_id(load_catalogue(priced), "18 in foil"))
    foil.pack_size, foil.pack_minor, foil.fill_minor = 5, 500, 250
    priced.flush()
    own = _cost(priced, line(load_catalogue(priced), "18 in foil", quantity=2, service=Service.OWN))[1]
    assert "18 in foil" not in own
    assert own["helium"] == _minor(Decimal(6000) / 1000 * 14 * 2)


def test_a_sale_at_once_has_no_tail_to_pay_for(priced):
    catalogue, at_once = (
        load_catalogue(priced),
        {"occasion": Occasion.NOW, "event_start": None, "lasts_until": None},
    )
    quote, cost = _cost(priced, line(catalogue, quantity=3), **at_once)
    assert cost["work"] == _minor(Decimal(30) * Decimal(quote.batches[0].fill.work.total_seconds() / 60))


def test_a_loose_balloon_is_counted_full_with_its_spares_and_its_ribbon(priced):
    """11 in latex with helium: the balloon and 5% more, 1.5 m of ribbon, the gas and the work for each filled."""
    catalogue, shop = load_catalogue(priced), load_shop(priced)
    offer = catalogue.balloon_types[balloon_type_id(catalogue)]
    cost = {one.title: one.minor for one in loose_cost(offer, catalogue, shop)}
    assert cost["11 in latex"] == _minor(Decimal(1250) / 100 * Decimal("1.05"))
    assert cost["ribbon"] == _minor(Decimal(900) / 450 * Decimal("1.5"))
    assert cost["helium"] == _minor(6 * LITRES_11 * Decimal("1.05"))
    assert cost["work"] > 0
    air = {
        one.title
        for one in loose_cost(
            replace(offer, balloon_type=replace(offer.balloon_type, air_only=True)), catalogue, shop
        )
    }
    assert air == {"11 in latex", "work"}


@pytest.mark.parametrize(
    ("mode", "price", "least"),
    [("none", 109, 110), ("none", 110, None), ("inclusive", 131, 132), ("on top", 110, None)],
)
def test_a_list_price_below_the_lowest_profit_has_a_least_one(session, mode, price, least):
    """A cost of 66 and a profit of 40% of the net price take 110 net, which is 132 with 20% in it."""
    change_settings(session, {"floor_percent": 40, "tax_mode": mode, "tax_percent": 20})
    assert least_list_price(price, (CostLine("all", 66),), load_shop(session)) == least
