"""The migration from the promise of one balloon to that of a batch: what a shop had keeps its values."""

import json
from datetime import timedelta
from math import log
from statistics import NormalDist

import pytest
from sqlalchemy import text

from app.actions.records.batches import read_float_plan
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.new_shop import fill_new_shop
from app.physics.promise import Promise, Scatter
from app.planning.window import Certainty, Verdict
from app.store.migrate import downgrade, upgrade
from tests.actions.builders import order_request, take

BEFORE_PROMISES = "9d3b6f0c7e41"
OLDER_PLAN = {
    "budget": 15.0,
    "spread": 0.25,
    "wet_hours": 0.0,
    "slowed": 1.0,
    "legs": [[1795266000, 1.0], [1795280400, 1.5]],
}
"""As a file had it while the shop promised one balloon: two hours to go at one pace, then four at another."""


@pytest.fixture
def older(store, store_url):
    """A shop with one batch, back in the form in which one balloon was promised."""
    upgrade(store_url)
    with store.writing() as session:
        fill_new_shop(session)
        take(session, order_request(load_catalogue(session)))
    downgrade(store_url, BEFORE_PROMISES)
    return store


def _setting_rows(store, *keys):
    with store.reading() as session:
        saved = {row.key: row.value for row in session.execute(text("SELECT key, value FROM setting"))}
    return {key: json.loads(saved[key]) for key in keys if key in saved}


def _saved_plan(store):
    with store.reading() as session:
        return json.loads(session.scalar(text("SELECT float_plan FROM batch")))


def _expect_the_spread_of_one_balloon(plan):
    assert set(plan) == set(OLDER_PLAN)
    assert plan["spread"] == 0.25
    assert {len(leg) for leg in plan["legs"]} == {2}


def test_a_float_plan_goes_back_and_an_older_one_promises_what_it_promised(older, store_url):
    _expect_the_spread_of_one_balloon(_saved_plan(older))
    with older.writing() as session:
        session.execute(text("UPDATE batch SET float_plan = :plan"), {"plan": json.dumps(OLDER_PLAN)})
    upgrade(store_url)
    plan = read_float_plan(_saved_plan(older))
    assert (plan.endurance.budget, plan.endurance.scatter, plan.endurance.promise) == (
        15.0,
        Scatter(0.25, 0.0),
        Promise(1, 1),
    )
    assert [(leg.ends.timestamp(), leg.loss_rate, leg.light_rate) for leg in plan.legs] == [
        (1795266000, 1.0, 0.0),
        (1795280400, 1.5, 0.0),
    ]
    # The chance of one balloon: that of the logarithm of 15 over 2 · 1 + 4 · 1.5 hours, by its scatter.
    outcome = plan.outcome(plan.legs[0].ends - timedelta(hours=2), Certainty())
    assert outcome.chance == pytest.approx(NormalDist().cdf(log(15 / 8) / 0.25), abs=1e-12)
    assert (outcome.light, outcome.verdict) == (0.0, Verdict.SAFE)
    downgrade(store_url, BEFORE_PROMISES)
    assert _saved_plan(older) == OLDER_PLAN


OLDER_SETTINGS = {
    "air_hours_indoors": 100.0,
    "air_hours_shade": 20.0,
    "air_hours_sun": 5.0,
    "load_g": 1.25,
    "spread_untreated": 0.3,
}


@pytest.mark.parametrize(("load_g", "tag_g"), [(1.25, 0.5), (0.75, 0.0), (0.4, 0.0)])
def test_the_hours_and_loads_that_a_shop_set_keep_their_values(store, store_url, load_g, tag_g):
    """What hung on a balloon was 0.75 g of ribbon and the rest a tag; ribbon is weighed by itself now."""
    upgrade(store_url, BEFORE_PROMISES)
    with store.writing() as session:
        for key, value in (OLDER_SETTINGS | {"load_g": load_g}).items():
            session.execute(
                text("INSERT INTO setting (key, value) VALUES (:key, :value)"),
                {"key": key, "value": json.dumps(value)},
            )
    upgrade(store_url)
    with store.reading() as session:
        shop = load_shop(session)
    light, loads = shop.float_defaults.light, shop.loads
    assert (light.air_indoors, light.shade, light.sun, loads.tag_g) == (100.0, 20.0, 5.0, tag_g)
    assert shop.float_defaults.untreated.total == 0.3
    assert _setting_rows(store, *OLDER_SETTINGS) == {"spread_untreated": 0.3}
    downgrade(store_url, BEFORE_PROMISES)
    assert _setting_rows(store, *OLDER_SETTINGS) == OLDER_SETTINGS | {"load_g": max(load_g, 0.75)}
