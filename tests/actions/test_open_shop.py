"""A new shop's shelves."""

from sqlalchemy import func, select

from app.actions.first_day import open_shop, session_secret
from app.actions.shop import load_goods, load_shop
from app.store.models import KindRow


def test_a_shop_that_has_shelves_is_left_alone(session):
    kinds = session.scalar(select(func.count()).select_from(KindRow))
    assert open_shop(session) is False
    assert session.scalar(select(func.count()).select_from(KindRow)) == kinds


def test_every_kind_on_the_shelves_is_a_balloon(session):
    kinds = [row.kind() for row in load_goods(session).kinds.values()]
    assert {kind.material for kind in kinds} == {"latex", "foil", "sphere"}


def test_it_is_open_every_day(session):
    assert set(load_shop(session).opening.week) == set(range(7))


def test_the_secret_is_made_once_for_each_shop(session):
    secret = session_secret(session)
    assert len(secret) >= 32
    assert session_secret(session) == secret
