"""What a shop has not entered yet."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from app.quoting.missing import Entered, Missing, find_missing

ALL = Entered(cylinder=True, staff=True, backup_elsewhere=True)
TODAY = datetime(2026, 11, 21, tzinfo=UTC)


@pytest.fixture
def complete(shop):
    entered = {"name": "Pier Balloons", "shop_address": "1 Pier Road", "shop_phone": "01632 960000"}
    return replace(shop, display={**shop.display, **entered})


def _with_types(catalogue, **changes):
    types = {key: replace(row, **changes) for key, row in catalogue.balloon_types.items()}
    return replace(catalogue, balloon_types=types)


def test_a_shop_with_everything_misses_nothing(complete, catalogue):
    assert find_missing(complete, catalogue, ALL) == Missing()
    assert not find_missing(complete, catalogue, ALL)


def test_a_new_shop_misses_all_but_the_weights_that_it_begins_with(shop, catalogue):
    found = find_missing(shop, _with_types(catalogue, price_minor=0), Entered())
    assert found == Missing(
        name=True,
        address=True,
        phone=True,
        unpriced=16,
        all_unpriced=True,
        weights=False,
        cylinders=True,
        staff=True,
        backups=True,
    )
    assert found.things == ("prices", "backups", "cylinders", "staff", "name", "address", "phone")


def test_a_shop_on_utc_has_not_entered_its_time_zone(complete, catalogue):
    on_utc = replace(complete, display={**complete.display, "zone": "UTC"})
    assert find_missing(on_utc, catalogue, ALL).things == ("zone",)
    assert find_missing(complete, catalogue, replace(ALL, staff=False)).things == ("staff",)


def test_what_is_archived_needs_no_price_and_makes_no_weight(complete, catalogue):
    archived = _with_types(catalogue, price_minor=0, archived_at=TODAY)
    assert not find_missing(complete, archived, ALL).unpriced
    supplies = {key: replace(row, archived_at=TODAY) for key, row in catalogue.supplies.items()}
    assert find_missing(complete, replace(catalogue, supplies=supplies), ALL) == Missing(weights=True)


def test_without_helium_neither_weights_nor_cylinders_are_missed(complete, catalogue):
    by_id = {
        key: replace(row, balloon_type=replace(row.balloon_type, air_only=True))
        for key, row in catalogue.balloon_types.items()
    }
    assert not find_missing(
        complete, replace(catalogue, balloon_types=by_id, supplies={}), replace(ALL, cylinder=False)
    )
