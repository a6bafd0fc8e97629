"""What was sold becomes a design: its parts, colours, steps, supplies, build and price are those of the order."""

import pytest

from app.actions.catalogue.designs import add_design
from app.actions.photos.from_order import design_from_order
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.craft.build import Build, Construction
from app.physics.balloon import Gas
from app.quoting.catalogue import Part
from app.store.models import SupplyRow
from tests.actions.builders import balloon_type_id, ctx, design_line, line, new_design, order_request, take


@pytest.fixture
def anchor(session):
    figures = {"pack_size": 1, "pack_minor": 85, "price_minor": None, "deposit_minor": 0}
    row = SupplyRow(name="Anchor of 170 g", sort="weight", unit="piece", grams=170, **figures)
    session.add(row)
    session.flush()
    return row.id


@pytest.fixture
def sea_bouquet(session, anchor):
    """One silver foil and nine latex in the customer's colours, with steps and a weight."""
    more = {
        "steps": ("Tie the nine.", "Star on top."),
        "supplies": ((anchor, 1.0),),
        "build": Build(Construction.BOUQUET),
    }
    return new_design(session, load_catalogue(session), **more)


def _design(session, catalogue, *lines, names=(), **changes):
    order = take(session, order_request(catalogue, *lines, bench_override="By turns.", **changes))
    return design_from_order(order.lines, names)


def test_one_piece_of_a_design_in_the_colours_it_was_sold_in(session, catalogue, sea_bouquet, anchor):
    made = _design(session, load_catalogue(session), design_line(sea_bouquet, 3, colours="teal, copper"))
    foil, latex = balloon_type_id(catalogue, "18 in foil"), balloon_type_id(catalogue)
    assert made.parts == (
        Part(foil, Gas.HELIUM, 1, (("silver", 1),)),
        Part(latex, Gas.HELIUM, 9, (("teal", 5), ("copper", 4))),
    )
    assert (made.price_minor, made.assembly_minutes) == (2600, 5)
    assert made.steps == ("Tie the nine.", "Star on top.")
    assert made.supplies == ((anchor, 1.0),)
    assert made.build == Build(Construction.BOUQUET)
    assert made.name == "Sea bouquet, silver, teal and copper"


def test_it_can_be_kept_as_it_is(session, catalogue, sea_bouquet):
    catalogue = load_catalogue(session)
    made = _design(session, catalogue, design_line(sea_bouquet, 2, colours="12 teal, 6 copper"))
    row = add_design(ctx(session, shop=load_shop(session), catalogue=catalogue), made)
    assert [(part.quantity, part.colours) for part in row.parts] == [
        (1, [["silver", 1]]),
        (9, [["teal", 6], ["copper", 3]]),
    ]


def test_all_of_a_line_of_loose_balloons_at_what_was_paid_for_it(session, catalogue):
    made = _design(session, catalogue, line(catalogue, quantity=7, colours="4 red, 3 white", treated=True))
    assert made.parts == (Part(balloon_type_id(catalogue), Gas.HELIUM, 7, (("red", 4), ("white", 3))),)
    (sold,) = take(session, order_request(catalogue, line(catalogue, quantity=7, treated=True)), key="key-2").lines
    assert made.price_minor == 7 * sold.unit_minor
    assert (made.name, made.build, made.steps) == ("11 in latex, red and white", Build(), ())


def test_colours_that_nobody_named_are_left_to_the_customer(session, catalogue):
    made = _design(session, catalogue, line(catalogue, quantity=7, colours=""))
    assert made.parts == (Part(balloon_type_id(catalogue), Gas.HELIUM, 7),)
    assert made.name == "11 in latex"


def test_all_of_an_order_together(session, catalogue, sea_bouquet, anchor):
    lines = (
        design_line(sea_bouquet, 2, colours="teal"),
        line(catalogue, quantity=3, colours="gold"),
        line(catalogue, "18 in foil", quantity=1, colours="star"),
    )
    made = _design(session, load_catalogue(session), *lines)
    foil, latex = balloon_type_id(catalogue, "18 in foil"), balloon_type_id(catalogue)
    assert made.parts == (
        Part(foil, Gas.HELIUM, 3, (("silver", 2), ("star", 1))),
        Part(latex, Gas.HELIUM, 21, (("teal", 18), ("gold", 3))),
    )
    assert made.price_minor == 2 * 2600 + 3 * 110 + 180
    assert (made.assembly_minutes, made.supplies, made.build) == (10, ((anchor, 2.0),), Build())
    assert made.name == "Sea bouquet and more"


def test_a_name_that_is_taken_gets_a_number_and_a_long_one_ends(session, catalogue):
    taken = {"11 in latex, red", "11 IN LATEX, RED 2"}
    assert _design(session, catalogue, line(catalogue, colours="red"), names=taken).name == "11 in latex, red 3"
    order = take(
        session,
        order_request(catalogue, line(catalogue, colours="a very long name, and one that goes on and on")),
        key="b",
    )
    name = design_from_order(order.lines, ()).name
    assert len(name) <= 60
    assert name.startswith("11 in latex, a very long name")
