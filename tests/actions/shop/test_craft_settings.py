"""The settings of craft against the code that they set."""

import pytest

from app.actions.records.shop import build_shop, load_goods, load_shop
from app.craft.arches import ArchHabits
from app.craft.bagging import BagHabits
from app.craft.bouquet import BouquetHabits
from app.craft.clusters import ColumnHabits
from app.craft.garland import GarlandHabits, Mix
from app.craft.strung import StrungHabits
from app.craft.stuffed import StuffingHabits
from app.craft.water import WaterHabits
from app.quoting.build_sheets.defaults import bags_of
from app.quoting.build_sheets.mix import read_mix, write_mix
from app.quoting.settings.all_settings import SETTINGS
from tests.actions.craft_builders import retire_bags, supply


def test_a_shop_with_every_default_has_the_defaults_of_the_code(session):
    craft = build_shop({one.key: one.default for one in SETTINGS}, load_shop(session).opening).craft
    assert craft.bouquets == BouquetHabits()
    assert craft.columns == ColumnHabits()
    assert craft.arches == ArchHabits()
    assert craft.strung == StrungHabits()
    assert craft.water == WaterHabits()
    assert craft.stuffing == StuffingHabits()
    usual, garlands = GarlandHabits(), craft.garlands
    assert (garlands.light, garlands.medium, garlands.full) == (usual.light, usual.medium, usual.full)
    whole = sum(share for _, share in garlands.mix.shares)
    assert {size: share / whole for size, share in garlands.mix.shares} == pytest.approx(dict(usual.mix.shares))
    assert (craft.bags.closing_cm, craft.bags.most_layers) == (BagHabits().closing_cm, BagHabits().most_layers)


def test_the_bags_are_those_that_the_shop_uses_and_measured(session, now):
    retire_bags(session)
    supply(session, "large bag", "bag", width_cm=120.0)
    supply(session, "bag of unknown width", "bag")
    supply(session, "retired bag", "bag", width_cm=90.0).retired_at = now()
    supply(session, "plush", "plush", width_cm=12.0)
    bags = bags_of(load_goods(session).supplies.values(), load_shop(session).craft).bags
    assert [(bag.name, bag.flat_cm, bag.length_cm) for bag in bags] == [("large bag", 120.0, 168.0)]


@pytest.mark.parametrize("text", ["5 in × 40, 9 in × 20", "5 in x 40,9 in x 20"])
def test_a_mix_is_read_as_it_is_written(text):
    mix = read_mix(text)
    assert mix == Mix(((5.0, 40.0), (9.0, 20.0)))


def test_a_mix_is_written_in_percent():
    assert write_mix(Mix(((5.0, 2.0), (9.0, 1.0)))) == "5 in × 66.67, 9 in × 33.33"


@pytest.mark.parametrize("text", ["", "5", "5 in", "5 in × 0", "5 in × 1, 5 in × 2", "99 in × 10", "5 in × 1,"])
def test_a_mix_that_is_none_has_a_sentence(text):
    with pytest.raises(ValueError, match=r"^[A-Z].*\.$"):
        read_mix(text)
