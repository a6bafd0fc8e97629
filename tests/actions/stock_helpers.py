"""Lots for the tests of what is on hand, and what is there of them."""

from datetime import timedelta

from sqlalchemy import select

from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.stock.articles import Article, colour_key
from app.actions.stock.availability import load_availability
from app.actions.stock.lots import Arrival, receive
from app.store.models import Lot, StockMove
from tests.actions.builders import MORNING, WHO, balloon_type_id, ctx

TODAY = MORNING.date()


def balloon_type(catalogue, name="11 in latex"):
    return Article(balloon_type_id=balloon_type_id(catalogue, name))


def lot(session, count, colour="red", name="11 in latex", days_ago=10, article=None):
    """So many that came in some days ago; of a kind unless told otherwise."""
    catalogue = load_catalogue(session)
    arrival = Arrival(article or balloon_type(catalogue, name), colour, count, TODAY - timedelta(days=days_ago))
    number = session.query(Lot).count()
    return receive(ctx(session, who=WHO, catalogue=catalogue, now=MORNING), arrival, f"lot-{number}")


def on_hand(session, colour=None):
    """By colour, good lots only; or of one colour."""
    session.flush()
    counts = {}
    for one in session.scalars(select(Lot).where(Lot.set_aside_at.is_(None))):
        counts[one.colour] = counts.get(one.colour, 0) + one.on_hand
    return counts if colour is None else counts.get(colour, 0)


def free(session, colour="red", name="11 in latex", day=TODAY, now=MORNING):
    shop, catalogue = load_shop(session), load_catalogue(session)
    return (
        load_availability(ctx(session, shop=shop, catalogue=catalogue, now=now))
        .by_article[balloon_type(catalogue, name)]
        .free(colour_key(colour), day)
    )


def moves(session):
    """(sort, change) of all moves, in their order."""
    session.flush()
    return [(one.sort, one.change) for one in session.scalars(select(StockMove).order_by(StockMove.id))]


def balanced(session):
    """Whether every lot holds what its moves say."""
    session.flush()
    sums = {}
    for one in session.scalars(select(StockMove)):
        sums[one.lot_id] = sums.get(one.lot_id, 0) + one.change
    return all(sums.get(one.id, 0) == one.on_hand for one in session.scalars(select(Lot)))
