"""What is in stock, in words."""

from datetime import date

import pytest

from app.actions.stock.articles import Article, StockNeed
from app.actions.stock.deliveries import DeliveryArrival
from app.actions.stock.shortages import ShortGoods
from app.store.models import Delivery, Lot
from app.web.formats import Formats
from app.web.wording.stock import arrival_sentence, describe_article, describe_count, short_sentence
from tests.actions.builders import balloon_type_id


@pytest.fixture
def formats(shop):
    return Formats.of(shop)


@pytest.fixture
def latex(catalogue):
    return Article(balloon_type_id=balloon_type_id(catalogue))


def _article(catalogue, sort):
    return Article(supply_id=next(row.id for row in catalogue.supplies.values() if row.sort == sort))


def test_a_count_has_its_unit(catalogue, formats, latex):
    ribbon = _article(catalogue, "ribbon")
    assert describe_count(12, latex, catalogue, formats) == "12"
    assert describe_count(4.5, ribbon, catalogue, formats) == "4.5 m"
    assert describe_count(4.504, ribbon, catalogue, formats) == "4.5 m"


def test_an_article_has_its_colour(catalogue, latex):
    assert describe_article(latex, "red", catalogue) == "red 11 in latex"
    assert describe_article(latex, "", catalogue) == "11 in latex"


@pytest.mark.parametrize(
    ("old", "question"),
    [
        (0, ""),
        (1, " 1 more is there, but old: for water weights and practice. Use it anyway?"),
        (30, " 30 more are there, but old: for water weights and practice. Use them anyway?"),
    ],
)
def test_old_ones_beside_what_is_short_are_asked_about(catalogue, formats, latex, old, question):
    need = StockNeed(latex, "red", 24, date(2026, 11, 21))
    sentence = short_sentence(ShortGoods(need, 20, None, old=old), catalogue, formats)
    assert sentence == f"Red 11 in latex: 24 needed, 4 left on Saturday 21 November 2026.{question}"


@pytest.mark.parametrize(
    ("short", "packs", "sentence"),
    [
        (0, 0, "48 red 11 in latex received and added as a lot."),
        (
            50,
            1,
            "48 red 11 in latex received and added as a lot. 1 pack is missing and still on the way."
            " If nothing more will come, cancel that delivery.",
        ),
        (
            100,
            2,
            "48 red 11 in latex received and added as a lot. 2 packs are missing and still on the way."
            " If nothing more will come, cancel that delivery.",
        ),
        (
            2,
            0,
            "48 red 11 in latex received and added as a lot. That is 2 fewer than ordered."
            " It is less than a pack, so no more is expected.",
        ),
    ],
)
def test_a_delivery_is_described_with_what_is_missing(catalogue, formats, latex, short, packs, sentence):
    lot = Lot(balloon_type_id=latex.balloon_type_id, supply_id=None, colour="red", arrived=48)
    came = DeliveryArrival(lot, short, Delivery(packs=packs) if packs else None)
    assert arrival_sentence(came, catalogue, formats) == sentence
