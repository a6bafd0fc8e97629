"""A row is kept once under its key, and what else is wrong with it is not taken for a second press."""

import pytest
from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError

from app.actions.records.idempotency import save_once, saved_with_key
from app.store.models import Lot
from tests.actions.stock_helpers import TODAY, balloon_type


def lot(catalogue, key="form", **changes):
    saved = {
        "balloon_type_id": balloon_type(catalogue).balloon_type_id,
        "colour": "red",
        "colour_folded": "red",
        "received_on": TODAY,
    }
    return Lot(client_key=key, arrived=5.0, on_hand=0.0, **(saved | changes))


def count(session):
    return session.scalar(select(func.count()).select_from(Lot))


def test_the_first_one_stands(session, catalogue):
    first, second = lot(catalogue), lot(catalogue, colour="white")
    assert save_once(session, first) is first
    assert save_once(session, second) is first
    assert (count(session), saved_with_key(session, Lot, "form")) == (1, first)


def test_another_key_is_another_row(session, catalogue):
    first, second = (save_once(session, lot(catalogue, key)) for key in ("one", "two"))
    assert first is not second
    assert count(session) == 2
    assert saved_with_key(session, Lot, "three") is None


def test_what_breaks_another_rule_is_told(session, catalogue):
    with pytest.raises(IntegrityError):
        save_once(session, lot(catalogue, balloon_type_id=None))
    assert count(session) == 0
