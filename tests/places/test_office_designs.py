"""The office's pages of designs: a list, and one page to make and to change one. Nothing typed is lost."""

import re

import pytest
from sqlalchemy import func, select

from app.actions.catalogue.designs import archive_design
from app.actions.records.catalogue import load_catalogue
from app.actions.shop.office import change_settings
from app.store.models import BalloonTypeRow, DesignRow, SupplyRow
from tests.actions.builders import MORNING, balloon_type_id, bouquet, new_design
from tests.places.payloads import Page, payload, take, words

DESIGN = {
    "name": "Pier bouquet",
    "pricing": "set",
    "price_minor": "26.00",
    "assembly_minutes": "5",
    "steps": "Tie the nine.\n\n  Star on top. ",
    "seasons-0-first": "1 Feb",
    "seasons-0-last": "14 Feb",
    "parts-0-balloon_type": "4",
    "parts-0-quantity": "9",
    "parts-0-gas": "helium",
    "parts-0-colours": "",
    "parts-1-balloon_type": "12",
    "parts-1-quantity": "1",
    "parts-1-gas": "helium",
    "parts-1-colours": "silver",
    "build": "bouquet",
}
COLUMN = DESIGN | {
    "build": "column",
    "figures-height_m": "2",
    "figures-pattern": "spiral",
    "parts-0-gas": "air",
    "parts-0-quantity": "",
    "parts-1-balloon_type": "",
    "parts-1-quantity": "",
    "parts-1-colours": "",
}


@pytest.fixture
def supplies(database):
    """A weight of 170 g and a bear that is no longer offered, by name."""
    figures = {"unit": "piece", "pack_size": 1, "pack_minor": 85, "price_minor": None, "deposit_minor": 0}
    with database.writing() as session:
        weight = SupplyRow(
            name="Anchor of 170 g", sort="weight", grams=170, width_cm=None, archived_at=None, **figures
        )
        bear = SupplyRow(
            name="Storybook bear", sort="plush", grams=None, width_cm=11, archived_at=MORNING, **figures
        )
        session.add_all([weight, bear])
        session.flush()
        return {"weight": weight.id, "bear": bear.id}


def _only(database):
    with database.reading() as session:
        (row,) = session.scalars(select(DesignRow))
        return row


def _count(database):
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(DesignRow))


def _draft(client, fix="work", sent=DESIGN, **changes):
    answer = client.post("/office/designs/draft", data=sent | {"fix": fix} | changes)
    assert answer.status_code == 200
    return answer


def test_a_design_is_kept_with_all_that_was_typed(client, database, supplies):
    sent = DESIGN | {"supplies-0-supply": str(supplies["weight"]), "supplies-0-quantity_per_piece": "1"}
    assert client.post("/office/designs/new", data=sent).location == "/office/designs"
    row = _only(database)
    assert (row.name, row.price_minor, row.computed, row.assembly_minutes) == ("Pier bouquet", 2600, False, 5)
    assert (row.steps, row.seasons, row.build) == (
        ["Tie the nine.", "Star on top."],
        [["02-01", "02-14"]],
        {"form": "bouquet"},
    )
    assert [(p.balloon_type_id, p.quantity, p.colours) for p in row.parts] == [(4, 9, []), (12, 1, [["silver", 1]])]
    assert [(s.supply_id, s.quantity) for s in row.supplies] == [(supplies["weight"], 1)]


def test_the_page_of_a_design_sent_back_untouched_changes_nothing(client, database, supplies):
    sent = COLUMN | {"parts-0-quantity": "40", "parts-0-colours": "10 red, 30 white"}
    client.post(
        "/office/designs/new",
        data=sent | {"supplies-0-supply": str(supplies["weight"]), "supplies-0-quantity_per_piece": "2"},
    )
    before = _only(database)
    values = Page(client.get(f"/office/designs/{before.id}").text).values
    assert values["seasons-0-first"] == "1 Feb"
    assert (values["build"], values["figures-height_m"], values["figures-pattern"]) == ("column", "2", "spiral")
    assert client.post(f"/office/designs/{before.id}", data=values).status_code == 303
    after = _only(database)
    for name in ("name", "price_minor", "computed", "assembly_minutes", "steps", "seasons", "build"):
        assert getattr(after, name) == getattr(before, name)
    assert [(p.balloon_type_id, p.gas, p.quantity, p.colours) for p in after.parts] == [
        (4, "air", 40, [["red", 10], ["white", 30]])
    ]
    assert [(s.supply_id, s.quantity) for s in after.supplies] == [(supplies["weight"], 2)]


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"name": ""}, "name", "1 to 60 letters"),
        ({"name": "x" * 61}, "name", "1 to 60 letters"),
        ({"price_minor": "much"}, "price_minor", "An amount"),
        ({"price_minor": ""}, "price_minor", "An amount"),
        ({"assembly_minutes": "-1"}, "assembly_minutes", "out of range"),
        ({"steps": "x" * 201}, "steps", "Step 1: 1 to 200 letters"),
        ({"seasons-0-first": "30 Feb"}, "seasons-0-first", "No year has that day"),
        ({"seasons-0-last": ""}, "seasons-0-last", "as in 14 Feb"),
        ({"parts-0-balloon_type": "999"}, "parts-0-balloon_type", "no such kind"),
        ({"parts-1-balloon_type": ""}, "parts-1-balloon_type", "Choose one, or empty the row"),
        ({"parts-0-balloon_type": "²"}, "parts-0-balloon_type", "Choose one"),
        ({"parts-0-quantity": "0"}, "parts-0-quantity", "from 1 to 1000"),
        ({"parts-1-colours": "3 gold"}, "parts-1-colours", "add up to 3"),
        ({"parts-0-balloon_type": "11"}, "parts-0-gas", "fill it with air"),
        ({"supplies-1-supply": "999", "supplies-1-quantity_per_piece": "1"}, "supplies-1-supply", "no such supply"),
        ({"supplies-1-quantity_per_piece": "1"}, "supplies-1-supply", "Which supply"),
        ({"build": "tower"}, "build", "One of these"),
        ({"build": "column", "figures-pattern": "spiral"}, "figures-height_m", "0.3 to 6 m"),
        ({"build": "column", "figures-height_m": "2"}, "figures-pattern", "spiral, layers"),
    ],
)
def test_a_design_that_cannot_be_has_its_sentence_at_the_field_and_is_not_lost(
    client, database, changes, field, sentence
):
    sent = DESIGN | changes
    answer = client.post("/office/designs/new", data=sent)
    page = Page(answer.text)
    assert answer.status_code == 422
    assert sentence in page.problem(field)
    assert page.describes(field)
    listed = ("balloon_type", "supply", "build", "pricing", "gas")  # a choice that is none cannot stand in its list
    saved = {name: typed for name, typed in sent.items() if not name.endswith(listed)}
    assert {name: page.values[name].strip() for name in saved} == {
        name: text.strip() for name, text in saved.items()
    }
    assert _count(database) == 0


def test_a_problem_in_the_third_row_stands_there_though_the_second_is_empty(client):
    sent = {k: v for k, v in DESIGN.items() if not k.startswith("parts-1")}
    sent |= {
        "parts-1-balloon_type": "",
        "parts-2-balloon_type": "11",
        "parts-2-quantity": "1",
        "parts-2-gas": "helium",
    }
    page = Page(client.post("/office/designs/new", data=sent).text)
    assert "fill it with air" in page.problem("parts-2-gas")
    assert page.problem("parts-0-gas") == page.problem("parts-1-gas") == ""


def test_without_a_part_it_is_no_design(client):
    sent = {k: v for k, v in DESIGN.items() if not k.startswith("parts")}
    assert "One part at least" in Page(client.post("/office/designs/new", data=sent).text).problem(
        "parts-0-balloon_type"
    )


def test_a_taken_name_is_refused(client, database):
    client.post("/office/designs/new", data=DESIGN)
    answer = client.post("/office/designs/new", data=DESIGN)
    assert answer.status_code == 422
    assert "already" in Page(answer.text).problem("name")
    assert _count(database) == 1


def test_more_rows_come_empty_and_keep_what_stands_in_the_others(client):
    for name, at_first in (("parts", 2), ("supplies", 2)):
        page = Page(_draft(client, f"more-{name}").text)
        rows = {key.split("-")[1] for key in page.by_id if key.startswith(f"{name}-")}
        assert len(rows) == at_first + 2
        assert page.values["parts-0-quantity"] == "9"
        assert page.values["name"] == "Pier bouquet"


def test_there_is_an_end_to_more_rows(client):
    sent = DESIGN | {f"parts-{n}-quantity": "1" for n in range(2, 40)}
    page = Page(_draft(client, "more-parts", sent).text)
    assert len({key for key in page.by_id if re.fullmatch(r"parts-\d+-balloon_type", key)}) == 12
    assert "more-parts" not in page.by_id


@pytest.mark.parametrize(
    ("form", "asked"),
    [
        ("loose", set()),
        ("column", {"height_m", "pattern"}),
        ("arch", {"shape", "span_m", "height_m", "pattern"}),
        ("garland", {"length_m", "fullness"}),
        ("strung", {"span_m", "height_m", "spacing_m"}),
    ],
)
def test_only_the_figures_of_the_form_are_asked_and_others_are_not_lost(client, form, asked):
    page = Page(_draft(client, build=form, **{"figures-height_m": "2"}).text)
    assert {key.removeprefix("figures-") for key in page.by_id if key.startswith("figures-")} == asked
    assert page.values["figures-height_m"] == "2"


def test_a_column_offers_its_two_counts_and_a_press_writes_one_into_the_part(client):
    """By hand: 11 in at 82 % in steps of a quarter is 9 in, a four rises 0.8409 × 9 in = 0.1922 m; 2 m are
    0.2286 + 9.2 rises, so 10 fours are 1.96 m and 11 are 2.15 m."""
    said = words(_draft(client, sent=COLUMN).text)
    assert "40 balloons 10 fours, 1.96 m high" in said
    assert "44 balloons 11 fours, 2.15 m high" in said
    assert "filled with air to 9 in" in said
    page = Page(_draft(client, "numbers-1", COLUMN).text)
    assert (page.values["parts-0-quantity"], page.values["parts-0-gas"]) == ("44", "air")


def test_a_garland_writes_each_size_into_a_part_of_its_own(client):
    """10 m at 30 a metre are 300: 40, 20, 30 and 10 of a hundred."""
    sent = COLUMN | {"build": "garland", "figures-length_m": "10", "figures-fullness": "medium"}
    page = Page(_draft(client, "numbers-0", sent).text)
    numbers = {page.values[f"parts-{n}-balloon_type"]: page.values[f"parts-{n}-quantity"] for n in range(4)}
    assert numbers == {"4": "90", "1": "120", "2": "60", "6": "30"}
    assert {page.values[f"parts-{n}-gas"] for n in range(4)} == {"air"}


def test_arches_and_bases_offer_their_number(client):
    arch = {"build": "arch", "figures-shape": "ellipse", "figures-span_m": "3", "figures-height_m": "2.2"}
    assert re.search(r"\d+ balloons \d+ fours, opening", words(_draft(client, sent=COLUMN | arch).text))
    assert "8 balloons two fours" in words(_draft(client, sent=COLUMN | {"build": "base"}).text)
    strung = {"build": "strung", "figures-span_m": "4", "figures-height_m": "2", "figures-spacing_m": "0.4"}
    said = words(_draft(client, sent=COLUMN | strung | {"parts-0-gas": "helium"}).text)
    assert re.search(r"\d+ balloons a line of \d\.\d\d m, an end weight of \d+ g each", said)


def test_figures_that_go_together_badly_are_said_and_break_nothing(client):
    strung = {"build": "strung", "figures-span_m": "0.5", "figures-height_m": "15", "figures-spacing_m": "1"}
    said = words(_draft(client, sent=COLUMN | strung | {"parts-0-gas": "helium"}).text)
    assert "That does not go together" in said


def test_a_bouquet_tells_its_lift_and_warns_of_a_weight_that_is_too_light(client, database, supplies):
    said = words(_draft(client).text)
    lifts, needs = (int(n) for n in re.search(r"It lifts (\d+) g.*at least (\d+) g", said).groups())
    assert 0 < lifts < needs
    assert "too light" not in said
    light = {"supplies-0-supply": str(supplies["weight"]), "supplies-0-quantity_per_piece": "0.1"}
    assert f"A weight of 17 g is too light: take at least {needs} g." in words(_draft(client, **light).text)


def test_the_cost_and_the_computed_price_stand_beside_the_form(client, database):
    """9 × 0.20 and a foil of 1.00 cost 2.80; hands, gas and ribbon cost nothing. With 150 % on top: 7.00."""
    with database.writing() as session:
        change_settings(
            session,
            {"hour_minor": 0, "helium_m3_minor": 0, "markup_percent": 150, "price_step_minor": 1},
        )
        session.get(BalloonTypeRow, 4).pack_minor, session.get(BalloonTypeRow, 12).pack_minor = 20, 100
    said = words(_draft(client, pricing="computed").text)
    assert "11 in latex £1.80" in said
    assert "Cost £2.80 Computed price £7.00 Margin £4.20 · 60 %" in said
    client.post(
        "/office/designs/new",
        data=DESIGN | {"pricing": "computed", "price_minor": "", "seasons-0-first": "", "seasons-0-last": ""},
    )
    assert _only(database).computed
    assert "Pier bouquet · £7.00 ·" in words(client.get("/counter/").text)
    listed = words(client.get("/office/designs").text)
    assert "all year £7.00 computed £2.80 £4.20 60 %" in listed


def test_the_live_answer_is_the_panel_alone_and_keeps_nothing(client, database):
    answer = _draft(client, "live")
    assert answer.text.lstrip().startswith('<section class="order-answer')
    assert "Price £26.00" in words(answer.text)
    assert _count(database) == 0


def test_what_was_retired_meanwhile_stays_listed_in_its_design_only(client, database, supplies):
    with database.writing() as session:
        bear = session.get(SupplyRow, supplies["bear"])
        bear.archived_at = None
        session.flush()
        catalogue = load_catalogue(session)
        latex = session.get(BalloonTypeRow, balloon_type_id(catalogue))
        row = new_design(session, catalogue, supplies=((bear.id, 1),)).id
        bear.archived_at = latex.archived_at = MORNING
    page = client.get(f"/office/designs/{row}")
    assert "11 in latex, retired" in page.text
    assert "Storybook bear, retired" in page.text
    empty = client.get("/office/designs/new")
    assert "Storybook bear" not in empty.text
    assert ">11 in latex<" not in empty.text
    assert client.post(f"/office/designs/{row}", data=Page(page.text).values).status_code == 303


def test_a_design_is_offered_at_the_counter_and_retired(client, database):
    with database.writing() as session:
        row = bouquet(session, load_catalogue(session)).id
    assert "Sea bouquet · £26.00 · 1 × 18 in foil, 9 × 11 in latex" in words(client.get("/counter/").text)
    for verb, offered in (("archive", False), ("restore", True)):
        client.post(f"/office/designs/{row}/{verb}", follow_redirects=True)
        assert ("Sea bouquet ·" in words(client.get("/counter/").text)) is offered
        assert ("no longer" in words(client.get("/office/designs").text)) is not offered


def test_a_changed_price_leaves_the_order_as_it_was_sold(client, database):
    with database.writing() as session:
        row = bouquet(session, load_catalogue(session)).id
    number = take(client, lines__0__what=f"design:{row}", lines__0__quantity="1", lines__0__colours="blue")
    values = Page(client.get(f"/office/designs/{row}").text).values | {
        "price_minor": "99.00",
        "name": "Lake bouquet",
    }
    assert client.post(f"/office/designs/{row}", data=values).status_code == 303
    said = words(client.get(f"/counter/orders/{number}").text)
    assert "Sea bouquet" in said
    assert "£26.00" in said
    assert "99.00" not in said
    assert "Lake bouquet · £99.00" in words(client.get("/counter/").text)


def test_a_design_that_never_was_is_not_there(client):
    assert client.get("/office/designs/999").status_code == 404
    assert client.post("/office/designs/999", data=DESIGN).status_code == 404
    assert client.post("/office/designs/draft?design=999", data=DESIGN).status_code == 404
    for verb in ("archive", "restore"):
        assert client.post(f"/office/designs/999/{verb}").status_code == 404


def test_a_retired_design_can_be_looked_at_and_changed(client, database):
    with database.writing() as session:
        row = bouquet(session, load_catalogue(session)).id
        archive_design(session, row, MORNING)
    page = client.get(f"/office/designs/{row}")
    assert "No longer sold" in words(page.text)
    client.post(f"/office/designs/{row}", data=Page(page.text).values | {"price_minor": "1.00"})
    assert (_only(database).price_minor, _only(database).archived_at) == (100, MORNING)


def test_nothing_sent_to_the_draft_is_kept_and_odd_presses_are_ignored(client, database):
    for fix in ("numbers-77", "more-figures", "nonsense", ""):
        assert _draft(client, fix).status_code == 200
    assert client.post("/counter/draft", data=payload(fix="what-99-design:1")).status_code == 200
    assert _count(database) == 0
