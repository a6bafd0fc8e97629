"""Supplies and hired goods for the tests of money, with the shop's figures for them."""

from app.actions.records.catalogue import load_catalogue
from app.actions.shop.office import change_settings
from app.store.models import DesignSupplyRow, SupplyRow
from tests.actions.builders import bouquet

FEES = {"delivery_minor": 1500, "set_up_minor": 2000, "take_down_minor": 3500}


def supply(session, name="Plush bear", sort="plush", **figures):
    """Sold at 4.50 a piece unless told otherwise, bought at 2.00."""
    told = {"unit": "piece", "pack_size": 1, "pack_minor": 200, "price_minor": 450, "deposit_minor": 0}
    row = SupplyRow(name=name, sort=sort, **(told | figures))
    session.add(row)
    session.flush()
    return row


def stand(session, name="Arch stand", **figures):
    """Hired at 12.00, with a deposit of 30.00, bought at 80.00."""
    told = {"pack_minor": 8000, "price_minor": 1200, "deposit_minor": 3000}
    return supply(session, name, "rental", **(told | figures))


def bouquet_on(session, row, quantity=1):
    """A bouquet whose recipe has so many of a supply."""
    design = bouquet(session, load_catalogue(session))
    design.supplies.append(DesignSupplyRow(position=0, supply_id=row.id, quantity=quantity))
    session.flush()
    return design


def priced(session, **told):
    """The visits have prices; other settings as told, as they are typed."""
    change_settings(session, FEES | told)
