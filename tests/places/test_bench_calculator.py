"""The page that tries a piece without an order, and what tickets and order pages say of a piece."""

import re
from decimal import Decimal

import pytest

from app.craft.build import FIGURES, Construction
from app.craft.colours import describe_sum
from app.craft.weights import water_weight_for
from app.places.bench.calculator_form import CHOOSE_TOPPER, CHOOSE_TYPE
from app.store.models import OrderBatch
from app.web.wording.forms import enter_number, enter_whole, enter_wind
from tests.actions.craft_builders import AIR, HELIUM, design, order_of, supply
from tests.numbers_in import numbers_in
from tests.places.payloads import Page, words
from tests.places.test_query_budget import BUDGET, counted

SHAPE = next(figure for figure in FIGURES[Construction.ARCH] if figure.key == "shape")
BALLOONS = enter_whole(1, 2000).replace("2000", "2,000")
FORMS = [form.value for form in Construction if form is not Construction.LOOSE]


def _said(client, status=200, **typed):
    answer = client.get("/bench/calculator", query_string=typed)
    assert answer.status_code == status
    return words(answer.text)


def _cautions(client, **typed):
    """The numbers of each caution on the build sheet."""
    page = client.get("/bench/calculator", query_string=typed).text
    return [numbers_in(one) for one in re.findall(r"data-caution>([^<]*)<", page)]


@pytest.mark.parametrize("address", ["", *(f"?form={form}" for form in FORMS)])
def test_nothing_is_built_before_something_was_entered(client, address):
    page = Page(client.get(f"/bench/calculator{address}").text)
    assert "nothing-entered" in page.by_id
    assert "made" not in page.by_id
    assert "check" in page.by_id


@pytest.mark.parametrize("form", FORMS)
def test_each_form_is_drawn_once_its_example_is_checked(client, form):
    answer = client.get(f"/bench/calculator?form={form}&pieces=1")
    assert "nothing-entered" not in Page(answer.text).by_id
    page = answer.text
    drawn = page[page.index('id="made"') :]
    assert re.search(r'<svg\s+class="sheet-picture"[^>]*\srole="img"\s+aria-label="[^"]{20,}"', drawn)
    assert drawn.count('data-role="chart"') == 1
    assert drawn.count("<circle") >= 1


def test_the_worked_column(client):
    """CASES 6: offer both 40 balloons for 1.96 m and 44 for 2.15 m."""
    said = _said(client, form="column", height_m="2", number="", pattern="spiral")
    assert all(one in said for one in ("40 balloons", "10 fours", "1.96 m", "44 balloons", "11 fours", "2.15 m"))


def test_a_number_of_balloons_is_held_against_the_form(client):
    assert [38, 11, 36, 40] in _cautions(client, form="column", number="38")


def _grams(found):
    return float(found[1]) * (1000 if found[2] == "kg" else 1)


def test_outdoors_the_weight_follows_the_wind(client):
    typed = {"form": "bouquet", "number": "9", "where": "shade"}
    calm, windy = (client.get("/bench/calculator", query_string=typed | {"wind": wind}).text for wind in "08")
    grams = [_grams(re.search(r'<text x="[^"]*" y="[^"]*">([\d.]+) (k?g)</text>', page)) for page in (calm, windy)]
    assert grams[0] < 130
    assert grams[1] > 1000


def test_a_weight_of_the_shop_is_judged(client, database):
    with database.writing() as session:
        light = supply(session, "star", "weight", grams=50.0).id
    ((chosen, least),) = _cautions(client, form="bouquet", number="9", weight=light)
    assert chosen == 50 < least
    assert _cautions(client, form="bouquet", number="3", weight=light) == []


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"form": "arch", "span_m": "0"}, "span_m", enter_number(0.5, 30, "m")),
        ({"form": "arch", "height_m": "high"}, "height_m", enter_number(0.3, 15, "m")),
        ({"form": "arch", "shape": "square"}, "shape", SHAPE.refusal),
        ({"form": "bouquet", "number": "none"}, "number", BALLOONS),
        ({"form": "bouquet", "number": ""}, "number", BALLOONS),
        ({"form": "bouquet", "balloon_type": "999"}, "balloon_type", CHOOSE_TYPE),
        ({"form": "bouquet", "colours": "12 red"}, "colours", describe_sum(12, 9)),
        ({"form": "bouquet", "toppers": "1"}, "topper", CHOOSE_TOPPER),
        ({"form": "bouquet", "wind": "force 6"}, "wind", enter_wind(40, "m/s", is_beaufort=True)),
        ({"form": "bouquet", "pieces": "0"}, "pieces", enter_whole(1, 500)),
        ({"form": "stuffed", "item": "bear", "item_cm": "wide"}, "item_cm", enter_number(0.5, 100, "cm")),
    ],
)
def test_a_mistake_has_its_sentence_at_its_field_and_nothing_typed_is_lost(client, typed, field, sentence):
    answer = client.get("/bench/calculator", query_string=typed)
    page = Page(answer.text)
    assert answer.status_code == 422
    assert page.problem(field) == sentence
    assert page.describes(field)
    assert 'id="made"' not in answer.text
    if field in typed and "value" in page.by_id[field]:
        assert page.values[field] == typed[field]


@pytest.mark.parametrize("typed", [{"form": "nothing"}, {"form": "loose"}, {"where": "moon"}, {"weight": "x"}])
def test_an_address_that_makes_no_sense_does_no_harm(client, typed):
    assert client.get("/bench/calculator", query_string=typed).status_code in (200, 422)


def test_a_shape_that_cannot_be_is_said_in_words(client):
    assert _cautions(client, form="arch", span_m="30", height_m="0.3") == [[0.01, 0.05, 10]]


def test_a_stuffed_balloon_is_tried_with_what_is_in_it(client):
    typed = {"form": "stuffed", "item": "bear", "item_cm": "20", "inside": "helium"}
    large, _gas = _cautions(client, **typed)
    assert large == [7.87, 18, 5]
    page = client.get("/bench/calculator", query_string=typed).text
    assert re.search(r'data-step="put in"(?:(?!</li>).)*class="step-words">[^<]*bear', page, re.S)
    made = page[page.index('id="made"') :]
    machine = ["in machine", "set sizer", "fill over", "pass sizer", "knot", "stretch neck"]
    assert _steps(made)[:6] == machine


def test_a_garland_is_filled_size_by_size_with_the_steps_once(client):
    """16 : 8 : 12 : 4 by the shop's mix; air to 82 % of each size, down to a quarter inch: common practice."""
    page = client.get("/bench/calculator?form=garland&length_m=2&fullness=light").text
    (title,) = re.findall(r"<h3>Fill (.*?)</h3>", page)
    assert numbers_in(title) == [16, 5, 8, 9, 12, 11, 4, 16]
    sizer = re.search(r'data-step="set sizer">([^<]*)<', page)[1]
    assert numbers_in(sizer) == [4, 5, 7.25, 9, 9, 11, 13, 16]


def test_weights_of_water_stand_by_size_and_grams(client, app):
    page = client.get("/bench/calculator").text
    table = page[page.index('<table class="table plain figures water">') :]
    row = words(re.search(r'<tr data-grams="300">.*?</tr>', table, re.DOTALL)[0])
    with app.database.reading() as session:
        from app.actions.records.shop import load_shop  # noqa: PLC0415

        size = water_weight_for(300, 9, load_shop(session).craft.water).diameter_in
    assert row == f"300 g – {' '.join([f'{size:g} in'] * 4)}"
    assert re.findall(r'data-most="(\d+)"', table)[:2] == ["231", "1348"]


def test_sizes_stand_in_the_shops_units(client):
    client.post("/office/settings", data={"length": "cm"})
    assert "300 g – 8.4 cm" in _said(client, form="bouquet")


@pytest.fixture
def bouquets(database):
    """An order of three bouquets and a column, five spares a hundred."""
    with database.writing() as session:
        weight = supply(session, "star", "weight", grams=50.0)
        parts = [("18 in foil", HELIUM, 1, [("silver", 1)]), ("11 in latex", HELIUM, 9)]
        piece = design(
            session, Construction.BOUQUET, parts, None, [(weight, 1)], ["Tie a bow."], name="Sea bouquet"
        )
        return order_of(session, piece, 3, "red, white").number


def _ticket(client, number, place):
    return client.get(f"/bench/batches/{number}-{place}").text


def test_the_tickets_of_an_order_share_its_craft(client, bouquets):
    for place in (1, 2):
        page = _ticket(client, bouquets, place)
        assert re.search(r'data-quantity="3"\s+data-title="Sea bouquet"', page)
        assert "sheet-cuts" in page
        assert "Tie a bow." in words(page)
        assert re.search(r"data-caution>50 g [^<]* \d+ g", page)


def test_the_cut_list_adds_up_for_one_and_for_all(client, bouquets):
    table = re.search(
        r'<table class="table plain figures sheet-cuts">.*?</table>', _ticket(client, bouquets, 1), re.S
    )[0]
    rows = re.findall(r'<th scope="row">([\d.]+) (cm|m)</th>\s*<td>(\d+)</td>\s*<td>(\d+)</td>', table)
    one, every = re.search(r"Total</th>\s*<td>([\d.]+) m</td>\s*<td>([\d.]+) m</td>", table).groups()
    lengths = [Decimal(length) * (100 if unit == "m" else 1) for length, unit, *_ in rows]
    assert sum(int(count) for *_, count, _ in rows) == 10
    for total, place in ((one, 2), (every, 3)):
        assert Decimal(total) * 100 == sum(
            length * int(row[place]) for length, row in zip(lengths, rows, strict=True)
        )


def _steps(page):
    return re.findall(r'data-step="([^"]*)"', page)


def test_a_bouquet_is_built_once_and_asks_for_one_weight(client, bouquets):
    """Common practice, no source: one knot, one weight for the whole piece, whichever of its batches is filled."""
    for place, fill in ((1, ["fill taut", "seal"]), (2, ["set sizer", "fill over", "pass sizer", "knot"])):
        steps = _steps(_ticket(client, bouquets, place))
        assert steps[: len(fill)] == fill
        assert [step for step in steps if "weight" in step] == ["knot and weight"]
        assert steps.count("topper") == 1
    assert "data-singles" not in _ticket(client, bouquets, 1)


def test_balloons_beside_a_bouquet_have_a_weight_each(client, database):
    from app.actions.records.catalogue import load_catalogue  # noqa: PLC0415
    from tests.actions.builders import design_line, line, order_request, take  # noqa: PLC0415

    with database.writing() as session:
        piece = design(session, Construction.BOUQUET, [("11 in latex", HELIUM, 9)])
        catalogue = load_catalogue(session)
        wanted = order_request(catalogue, design_line(piece, colours="red"), line(catalogue, quantity=5))
        number = take(session, wanted, key="mixed").number
    page = _ticket(client, number, 1)
    assert re.search(r'data-singles="5"', page)
    assert [step for step in _steps(page) if "weight" in step] == ["knot and weight", "weight each"]


def test_a_column_is_tied_in_pairs_and_a_stuffed_balloon_is_not_sized(client, database):
    """Common practice, no source."""
    with database.writing() as session:
        figures = {"height_m": 2.0, "pattern": "layers"}
        column = order_of(session, design(session, Construction.COLUMN, [("11 in latex", AIR, 40)], figures)).number
        bear = [("18 in clear stuffing latex", AIR, 1)]
        stuffed = order_of(session, design(session, Construction.STUFFED, bear, name="Bear")).number
    assert _steps(_ticket(client, column, 1))[:5] == ["set sizer", "fill over", "pass sizer", "pair", "tie pairs"]
    page = _ticket(client, stuffed, 1)
    assert _steps(page)[:4] == ["in machine", "stretch neck", "inside in", "fill chamber"]
    assert re.search(r"<dt>Fill to</dt><dd>full</dd>", page)


def test_a_ticket_says_what_is_fetched_for_what_bursts(client, bouquets, database):
    assert "spare" not in words(_ticket(client, bouquets, 2))
    with database.writing() as session:
        for batch in session.query(OrderBatch):
            batch.spares = 2
    assert re.search(r"(3|27) \+ 2 spares ", words(_ticket(client, bouquets, 1)))


def test_the_order_folds_its_craft_away(client, bouquets):
    page = client.get(f"/counter/orders/{bouquets}").text
    folded = re.search(r'<details class="sheet-fold">.*?</details>', page, re.S)[0]
    assert words(folded).startswith("3 × Sea bouquet")
    assert re.search(r'<svg\s+class="sheet-picture"', folded)


def test_a_ticket_costs_the_same_for_one_line_and_for_many(app, client, database):
    statements = []
    for lines in (1, 6):
        number = _order_of_columns(database, lines)
        with counted(app) as seen:
            page = client.get(f"/bench/batches/{number}-1")
        assert len(re.findall(r'data-quantity="1"\s+data-title="Column', page.text)) == lines
        statements.append(len(seen))
    assert statements[0] == statements[1] <= BUDGET + 8


def _order_of_columns(database, lines):
    from app.actions.records.catalogue import load_catalogue  # noqa: PLC0415
    from tests.actions.builders import BENCH_REASON, design_line, order_request, take  # noqa: PLC0415

    with database.writing() as session:
        figures = {"height_m": 1.0, "pattern": "layers"}
        made = [
            design(
                session, Construction.COLUMN, [("11 in latex", AIR, 20)], figures, name=f"Column {lines} {place}"
            )
            for place in range(lines)
        ]
        catalogue = load_catalogue(session)
        wanted = order_request(catalogue, *(design_line(one) for one in made), bench_override=BENCH_REASON)
        return take(session, wanted, key=f"columns {lines}").number
