"""What a new shop starts with."""

from sqlalchemy import func, select

from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.new_shop import fill_new_shop, session_secret
from app.physics.endurance import FloatDefaults
from app.store.models import BalloonTypeRow, SupplyRow


def test_a_shop_with_a_catalogue_is_left_alone(session):
    balloon_types = session.scalar(select(func.count()).select_from(BalloonTypeRow))
    assert fill_new_shop(session) is False
    assert session.scalar(select(func.count()).select_from(BalloonTypeRow)) == balloon_types


def test_every_balloon_type_of_a_new_shop_has_a_material(session):
    balloon_types = [row.balloon_type for row in load_catalogue(session).balloon_types.values()]
    assert {balloon_type.material for balloon_type in balloon_types} == {"latex", "foil", "sphere"}


def test_it_is_open_every_day(session):
    assert set(load_shop(session).opening.week) == set(range(7))


def test_the_secret_is_made_once_for_each_shop(session):
    secret = session_secret(session)
    assert len(secret) >= 32
    assert session_secret(session) == secret


def test_its_supplies_are_there_to_be_priced(session):
    rows = session.scalars(select(SupplyRow)).all()
    assert {row.sort for row in rows} == {"weight", "ribbon", "bag", "treatment", "modelling", "rental"}
    assert {(row.pack_minor, row.price_minor, row.deposit_minor) for row in rows} == {(0, None, 0)}


def test_a_metre_and_a_half_of_its_ribbon_is_the_load_of_a_loose_balloon(session):
    """0.9 g/cm³ × 0.5 cm × 0.011 cm × 100 cm, the density of polypropylene by handbooks; 1.5 m: common practice."""
    (ribbon,) = session.scalars(select(SupplyRow).where(SupplyRow.sort == "ribbon"))
    assert round(0.9 * 0.5 * 0.011 * 100, 1) == ribbon.grams
    assert 1.5 * ribbon.grams == FloatDefaults().load_g
