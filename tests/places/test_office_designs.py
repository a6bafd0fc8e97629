"""The office's pages of designs: a list, and one page to make and to change one. Nothing typed is lost."""

import re

import pytest
from sqlalchemy import func, select

from app.actions.catalogue.designs import (
    DOES_NOT_FLOAT,
    LONGEST_ASSEMBLY,
    NO_PART,
    STEP_TOO_LONG,
    SUPPLY_NOT_AVAILABLE,
    TYPE_NOT_AVAILABLE,
    archive_design,
)
from app.actions.catalogue.names import NAME_LENGTH, NAME_TAKEN
from app.actions.records.catalogue import load_catalogue
from app.actions.shop.office import change_settings
from app.craft.build import PATTERN
from app.craft.colours import describe_sum
from app.places.office.design_form import CHOOSE_SUPPLY, CHOOSE_TYPE, CONSTRUCTION_NAMES
from app.store.models import BalloonTypeRow, DesignRow, SupplyRow
from app.web.wording.forms import (
    ENTER_DAY_OF_YEAR,
    choose_from,
    describe_missing_day,
    enter_amount,
    enter_number,
    enter_whole,
)
from tests.actions.builders import MORNING, balloon_type_id, bouquet, new_design
from tests.places.marks import marked
from tests.places.page_states import states, values, wrong_fields
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
BLANK_SUPPLY = {"supplies-0-supply": "", "supplies-0-quantity_per_piece": ""}


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


def test_a_design_is_saved_with_all_that_was_typed(client, database, supplies):
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
        ({"name": ""}, "name", NAME_LENGTH),
        ({"name": "x" * 61}, "name", NAME_LENGTH),
        ({"price_minor": "much"}, "price_minor", enter_amount(2)),
        ({"price_minor": ""}, "price_minor", enter_amount(2)),
        ({"assembly_minutes": "-1"}, "assembly_minutes", enter_number(0, LONGEST_ASSEMBLY, "minutes")),
        ({"steps": "x" * 201}, "steps", STEP_TOO_LONG.format(number=1, letters=201)),
        ({"seasons-0-first": "30 Feb"}, "seasons-0-first", describe_missing_day(30, "February")),
        ({"seasons-0-last": ""}, "seasons-0-last", ENTER_DAY_OF_YEAR),
        ({"parts-0-balloon_type": "999"}, "parts-0-balloon_type", TYPE_NOT_AVAILABLE),
        ({"parts-1-balloon_type": ""}, "parts-1-balloon_type", CHOOSE_TYPE),
        ({"parts-0-balloon_type": "²"}, "parts-0-balloon_type", CHOOSE_TYPE),
        ({"parts-0-quantity": "0"}, "parts-0-quantity", enter_whole(1, 1000).replace("1000", "1,000")),
        ({"parts-1-colours": "3 gold"}, "parts-1-colours", describe_sum(3, 1)),
        ({"parts-0-balloon_type": "11"}, "parts-0-gas", DOES_NOT_FLOAT.format(name="9 in foil")),
        (
            BLANK_SUPPLY | {"supplies-1-supply": "999", "supplies-1-quantity_per_piece": "1"},
            "supplies-1-supply",
            SUPPLY_NOT_AVAILABLE,
        ),
        (BLANK_SUPPLY | {"supplies-1-quantity_per_piece": "1"}, "supplies-1-supply", CHOOSE_SUPPLY),
        ({"build": "tower"}, "build", choose_from(CONSTRUCTION_NAMES.values())),
        ({"build": "column", "figures-pattern": "spiral"}, "figures-height_m", enter_number(0.3, 6, "m")),
        ({"build": "column", "figures-height_m": "2"}, "figures-pattern", PATTERN.refusal),
    ],
)
def test_a_design_that_cannot_be_has_its_sentence_at_the_field_and_is_not_lost(
    client, database, changes, field, sentence
):
    sent = DESIGN | changes
    answer = client.post("/office/designs/new", data=sent)
    page = Page(answer.text)
    assert answer.status_code == 422
    assert wrong_fields(answer.text) == [field]
    assert page.problem(field) == sentence
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
    text = client.post("/office/designs/new", data=sent).text
    assert wrong_fields(text) == ["parts-2-gas"]
    assert Page(text).problem("parts-2-gas") == DOES_NOT_FLOAT.format(name="9 in foil")


def test_without_a_part_it_is_no_design(client):
    sent = {k: v for k, v in DESIGN.items() if not k.startswith("parts")}
    text = client.post("/office/designs/new", data=sent).text
    assert wrong_fields(text) == ["parts-0-balloon_type"]
    assert Page(text).problem("parts-0-balloon_type") == NO_PART


def test_a_taken_name_is_refused(client, database):
    client.post("/office/designs/new", data=DESIGN)
    answer = client.post("/office/designs/new", data=DESIGN)
    assert answer.status_code == 422
    assert wrong_fields(answer.text) == ["name"]
    assert Page(answer.text).problem("name") == NAME_TAKEN.format(name=DESIGN["name"])
    assert _count(database) == 1


def test_more_rows_come_empty_and_leave_the_others_as_they_are(client):
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
    text = _draft(client, sent=COLUMN).text
    assert values(text, "balloons") == ["40", "44"]
    numbers = [Page(text).by_id[f"numbers-{place}"]["text"] for place in range(2)]
    assert [re.findall(r"\d[\d.]*", one)[:3] for one in numbers] == [["40", "10", "196"], ["44", "11", "2.15"]]
    assert [shown in one for shown, one in zip(("196 cm", "2.15 m"), numbers, strict=True)] == [True, True]
    assert "9 in" in Page(text).by_id["design-answer"]["text"]
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
    fours = [int(count) for count in values(_draft(client, sent=COLUMN | arch).text, "balloons")]
    assert len(fours) == 1
    assert fours[0] % 4 == 0
    assert values(_draft(client, sent=COLUMN | {"build": "base"}).text, "balloons") == ["4", "8"]
    strung = {"build": "strung", "figures-span_m": "4", "figures-height_m": "2", "figures-spacing_m": "0.4"}
    text = _draft(client, sent=COLUMN | strung | {"parts-0-gas": "helium"}).text
    assert len(values(text, "balloons")) == 1
    assert re.search(r"\d\.\d\d? m, \d+ g", Page(text).by_id["numbers-0"]["text"])


def test_figures_that_do_not_work_together_give_a_warning_and_break_nothing(client):
    strung = {"build": "strung", "figures-span_m": "0.5", "figures-height_m": "15", "figures-spacing_m": "1"}
    text = _draft(client, sent=COLUMN | strung | {"parts-0-gas": "helium"}).text
    assert len(values(text, "warning")) == 1
    assert values(text, "balloons") == []


def test_a_bouquet_shows_its_lift_and_warns_of_a_weight_that_is_too_light(client, database, supplies):
    text = _draft(client).text
    (answer,) = states(text, "needed-weight")
    lifts, needs = float(answer["data-net-lift"]), float(answer["data-needed-weight"])
    assert 0 < lifts < needs
    assert values(text, "warning") == []
    light = {"supplies-0-supply": str(supplies["weight"]), "supplies-0-quantity_per_piece": "0.1"}
    assert len(values(_draft(client, **light).text, "warning")) == 1
    enough = light | {"supplies-0-quantity_per_piece": "1"}
    assert values(_draft(client, **enough).text, "warning") == []


def test_the_cost_and_the_computed_price_stand_beside_the_form(client, database):
    """9 × 0.20 and a foil of 1.00 cost 2.80; staff, gas and ribbon cost nothing. With 150% on top: 7.00."""
    with database.writing() as session:
        change_settings(
            session,
            {"hour_minor": 0, "helium_m3_minor": 0, "markup_percent": 150, "price_step_minor": 1},
        )
        session.get(BalloonTypeRow, 4).pack_minor, session.get(BalloonTypeRow, 12).pack_minor = 20, 100
    text = _draft(client, pricing="computed").text
    assert (values(text, "cost"), values(text, "price")) == (["280"], ["700"])
    shown = re.findall(r"£[\d.]+|\d+%", Page(text).by_id["design-answer"]["text"])
    assert {"£1.80", "£2.80", "£7.00", "£4.20", "60%"} <= set(shown)
    client.post(
        "/office/designs/new",
        data=DESIGN | {"pricing": "computed", "price_minor": "", "seasons-0-first": "", "seasons-0-last": ""},
    )
    assert _only(database).computed
    assert "Pier bouquet · £7.00 ·" in words(client.get("/counter/").text)
    listed = words(client.get("/office/designs").text)
    assert re.findall(r"£[\d.]+|\d+%", listed) == ["£7.00", "£2.80", "£4.20", "60%"]


def test_the_live_answer_is_the_panel_alone_and_saves_nothing(client, database):
    answer = _draft(client, "live")
    assert Page(answer.text).tags[0][1]["id"] == "design-answer"
    assert values(answer.text, "price") == ["2600"]
    assert "£26.00" in Page(answer.text).by_id["shown-price"]["text"]
    assert _count(database) == 0


def test_what_was_archived_meanwhile_stays_listed_in_its_design_only(client, database, supplies):
    with database.writing() as session:
        bear = session.get(SupplyRow, supplies["bear"])
        bear.archived_at = None
        session.flush()
        catalogue = load_catalogue(session)
        latex = session.get(BalloonTypeRow, balloon_type_id(catalogue))
        row = new_design(session, catalogue, supplies=((bear.id, 1),)).id
        bear.archived_at = latex.archived_at = MORNING
        latex_id = latex.id
    page = client.get(f"/office/designs/{row}")
    assert f'<option value="{latex_id}" selected>11 in latex' in page.text
    assert "Storybook bear" in page.text
    empty = client.get("/office/designs/new")
    assert "Storybook bear" not in empty.text
    assert ">11 in latex<" not in empty.text
    assert client.post(f"/office/designs/{row}", data=Page(page.text).values).status_code == 303


def test_a_design_is_offered_at_the_counter_and_archived(client, database):
    with database.writing() as session:
        row = bouquet(session, load_catalogue(session)).id
    label = re.search(rf'<option value="design:{row}">([^<]+)<', client.get("/counter/").text)[1]
    assert label.split(" · ")[:2] == ["Sea bouquet", "£26.00"]
    assert label.split(" · ")[2].split(", ") == ["1 × 18 in foil", "9 × 11 in latex"]
    for verb, offered in (("archive", False), ("restore", True)):
        client.post(f"/office/designs/{row}/{verb}", follow_redirects=True)
        assert ("Sea bouquet ·" in words(client.get("/counter/").text)) is offered
        assert values(client.get("/office/designs").text, "archived") == ["no" if offered else "yes"]


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


def test_an_archived_design_can_be_looked_at_and_changed(client, database):
    with database.writing() as session:
        row = bouquet(session, load_catalogue(session)).id
        archive_design(session, row, MORNING)
    page = client.get(f"/office/designs/{row}")
    assert "is-archived" in Page(page.text).by_id
    client.post(f"/office/designs/{row}", data=Page(page.text).values | {"price_minor": "1.00"})
    assert (_only(database).price_minor, _only(database).archived_at) == (100, MORNING)


def test_nothing_sent_to_the_draft_is_saved_and_odd_presses_are_ignored(client, database):
    for fix in ("numbers-77", "more-figures", "nonsense", ""):
        assert _draft(client, fix).status_code == 200
    assert client.post("/counter/draft", data=payload(fix="what-99-design:1")).status_code == 200
    assert _count(database) == 0


def test_a_design_that_is_sold_too_cheap_says_the_least_to_charge(client, database):
    """At £500 an hour, the work on a bouquet of £26.00 costs more than half of its price."""
    with database.writing() as session:
        bouquet(session, load_catalogue(session))
    (shown,) = marked(client.get("/office/designs").text, "least")
    assert shown["data-least"] == ""
    with database.writing() as session:
        change_settings(session, {"hour_minor": 50000, "floor_percent": 50})
    (shown,) = marked(client.get("/office/designs").text, "least")
    assert int(shown["data-least"]) > 2600
