"""A row is kept once under its key, and what else is wrong with it is not taken for a second press."""

import pytest
from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError

from app.actions.records.idempotency import keep_once, kept_as
from app.store.models import Lot
from tests.actions.stock_cast import TODAY, kind


def lot(goods, key="form", **changes):
    kept = {"kind_id": kind(goods).kind_id, "colour": "red", "colour_folded": "red", "received_on": TODAY}
    return Lot(client_key=key, arrived=5.0, on_hand=0.0, **(kept | changes))


def count(session):
    return session.scalar(select(func.count()).select_from(Lot))


def test_the_first_one_stands(session, goods):
    first, second = lot(goods), lot(goods, colour="white")
    assert keep_once(session, first) is first
    assert keep_once(session, second) is first
    assert (count(session), kept_as(session, Lot, "form")) == (1, first)


def test_another_key_is_another_row(session, goods):
    first, second = (keep_once(session, lot(goods, key)) for key in ("one", "two"))
    assert first is not second
    assert count(session) == 2
    assert kept_as(session, Lot, "three") is None


def test_what_breaks_another_rule_is_told(session, goods):
    with pytest.raises(IntegrityError):
        keep_once(session, lot(goods, kind_id=None))
    assert count(session) == 0
