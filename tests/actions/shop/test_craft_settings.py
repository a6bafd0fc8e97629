"""The settings for building designs against the code that they set."""

import pytest

from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.craft.arches import ArchDefaults
from app.craft.bagging import BagDefaults
from app.craft.bouquet import BouquetDefaults
from app.craft.clusters import ColumnDefaults
from app.craft.garland import GarlandDefaults, Mix
from app.craft.strung import StrungDefaults
from app.craft.stuffed import StuffingDefaults
from app.craft.weights import WaterDefaults
from app.quoting.defaults import bags_of
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.settings.setting import read_mix, write_mix
from app.quoting.shop import build_shop
from tests.actions.craft_builders import archive_bags, supply


def test_a_shop_with_every_default_has_the_defaults_of_the_code(session):
    make_line_sheet = build_shop({one.key: one.default for one in SETTINGS}, load_shop(session).opening).craft
    assert make_line_sheet.bouquets == BouquetDefaults()
    assert make_line_sheet.columns == ColumnDefaults()
    assert make_line_sheet.arches == ArchDefaults()
    assert make_line_sheet.strung == StrungDefaults()
    assert make_line_sheet.water == WaterDefaults()
    assert make_line_sheet.stuffing == StuffingDefaults()
    usual, garlands = GarlandDefaults(), make_line_sheet.garlands
    assert (garlands.light, garlands.medium, garlands.full) == (usual.light, usual.medium, usual.full)
    whole = sum(share for _, share in garlands.mix.shares)
    assert {size: share / whole for size, share in garlands.mix.shares} == pytest.approx(dict(usual.mix.shares))
    assert (make_line_sheet.bags.closing_cm, make_line_sheet.bags.most_layers) == (
        BagDefaults().closing_cm,
        BagDefaults().most_layers,
    )


def test_the_bags_are_those_that_the_shop_uses_and_measured(session, now):
    archive_bags(session)
    supply(session, "large bag", "bag", width_cm=120.0)
    supply(session, "bag of unknown width", "bag")
    supply(session, "archived bag", "bag", width_cm=90.0).archived_at = now()
    supply(session, "plush", "plush", width_cm=12.0)
    bags = bags_of(load_catalogue(session).supplies.values(), load_shop(session).craft).bags
    assert [(bag.name, bag.flat_cm, bag.length_cm) for bag in bags] == [("large bag", 120.0, 168.0)]


@pytest.mark.parametrize("text", ["5 in × 40, 9 in × 20", "5 in x 40,9 in x 20"])
def test_a_mix_is_read_as_it_is_written(text):
    mix = read_mix(text)
    assert mix == Mix(((5.0, 40.0), (9.0, 20.0)))


def test_a_mix_is_written_in_percent():
    assert write_mix(Mix(((5.0, 2.0), (9.0, 1.0)))) == "5 in × 66.67, 9 in × 33.33"


@pytest.mark.parametrize("text", ["", "5", "5 in", "5 in × 0", "5 in × 1, 5 in × 2", "99 in × 10", "5 in × 1,"])
def test_a_wrong_mix_has_a_sentence(text):
    with pytest.raises(ValueError, match=r"^[A-Z].*\.$"):
        read_mix(text)
