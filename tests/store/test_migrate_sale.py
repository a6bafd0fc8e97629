"""A shop that took orders before sales at once were known keeps them, and may go back."""

import pytest
from sqlalchemy import MetaData, Text, select
from sqlalchemy.exc import IntegrityError

from app.store.migrate import downgrade, upgrade

BEFORE = "5c1d7a90be34"
AT_ONCE = "5b1f0c7a92de"


@pytest.fixture
def lived_in(store, store_url):
    """A shop of before, with one foil and one order of two of them."""
    upgrade(store_url, BEFORE)
    _put(store, "kind", id=1, name="18 in foil", material="foil", nominal_in=18, mass_g=10, size_factor=1)
    order = {"occasion": "now", "surroundings": "indoors", "hand_over": "collect", "state": "open"}
    _put(store, "orders", id=1, number=1001, **order)
    _put(store, "order_line", id=1, order_id=1, kind_id=1, title="18 in foil", quantity=2, parts="[]")
    return store


def _table(store, name):
    metadata = MetaData()
    metadata.reflect(store.engine, only=[name], resolve_fks=False)
    return metadata.tables[name]


def _put(store, into, **values):
    """A row; what is not told and may not be empty is 0 or an empty text."""
    table = _table(store, into)
    plain = {c.name: "" if isinstance(c.type, Text) else 0 for c in table.columns if not c.nullable}
    with store.writing() as session:
        session.execute(table.insert().values(plain | values))


def _row(store, name):
    with store.reading() as session:
        return dict(session.execute(select(_table(store, name))).mappings().one())


def test_lines_of_before_were_sold_and_foils_of_before_have_no_price_for_more(lived_in, store_url):
    line, kind = _row(lived_in, "order_line"), _row(lived_in, "kind")
    upgrade(store_url, AT_ONCE)
    assert _row(lived_in, "order_line") == line | {"service": "sold"}
    assert _row(lived_in, "kind") == kind | {"fill_minor": None, "top_up_minor": None}


LINE = {"id": 2, "order_id": 1, "kind_id": 1, "quantity": 1}
KIND = {"id": 2, "name": "22 in foil", "material": "foil", "nominal_in": 22, "mass_g": 14, "size_factor": 1}


@pytest.mark.parametrize(
    ("table", "plain", "column", "wrong"),
    [
        ("order_line", LINE, "service", "lent"),
        ("kind", KIND, "fill_minor", -1),
        ("kind", KIND, "top_up_minor", -1),
    ],
)
def test_what_no_line_and_no_price_can_be_is_refused_by_its_table(lived_in, store_url, table, plain, column, wrong):
    upgrade(store_url, AT_ONCE)
    with pytest.raises(IntegrityError, match=f"ck_{table}_{column}"):
        _put(lived_in, table, **plain, **{column: wrong})


def test_going_back_keeps_what_was_there(lived_in, store_url):
    line, kind = _row(lived_in, "order_line"), _row(lived_in, "kind")
    upgrade(store_url, AT_ONCE)
    downgrade(store_url, BEFORE)
    assert _row(lived_in, "order_line") == line
    assert _row(lived_in, "kind") == kind
    upgrade(store_url, AT_ONCE)
    assert _row(lived_in, "order_line") == line | {"service": "sold"}
