"""The counter picks goods by a name or a part that is typed, seasonal designs first, on every line."""

import re

import pytest
from sqlalchemy import select

from app.actions.catalogue.designs import archive_design, change_design
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.places.counter.choices import ARCHIVED, OUT_OF_SEASON
from app.places.counter.line_form import CHOOSE_GOODS
from app.store.models import BalloonTypeRow, DesignRow, OrderLine, SupplyRow
from tests.actions.builders import MORNING, balloon_type_id, ctx, design_figures, new_design, part
from tests.begun import begins_with
from tests.places.answers import having
from tests.places.payloads import Page, payload, take, words

SEASONS = {"Midwinter": ("11-20", "01-06"), "Sweetheart": ("02-01", "02-14")}


def _stand_designs(database):
    with database.writing() as session:
        bear = SupplyRow(
            name="Storybook bear 20 cm",
            sort="plush",
            unit="piece",
            pack_size=1,
            pack_minor=430,
            price_minor=None,
            grams=None,
            width_cm=11,
            deposit_minor=0,
            archived_at=None,
        )
        session.add(bear)
        session.flush()
        catalogue = load_catalogue(session)
        star = (part(catalogue, "18 in foil", quantity=1, colours=(("silver star", 1),)),)
        made = {
            "Harbour bouquet": {"parts": star},
            "Stars and moon": {},
            "Hug in a bubble": {"supplies": ((bear.id, 1),)},
            "Sweetheart": {"parts": star, "seasons": (SEASONS["Sweetheart"],)},
            "Midwinter": {"parts": star, "seasons": (SEASONS["Midwinter"],)},
            "Old star": {},
        }
        rows = {name: new_design(session, catalogue, name=name, **changes).id for name, changes in made.items()}
        archive_design(session, rows["Old star"], MORNING)


template = begins_with("shelf", _stand_designs)


@pytest.fixture
def shelf(database):
    """Designs by name, each with a star or a bear in it; the clock stands at 21 November."""
    with database.reading() as session:
        return dict(session.execute(select(DesignRow.name, DesignRow.id)).all())


def _found(client, text, line=0, **more):
    asked = {"line": line, f"lines-{line}-find": text} | more
    answer = client.get("/counter/goods", query_string=asked)
    assert answer.status_code == 200
    return re.findall(r"<strong>([^<]+)</strong>", answer.text)


def test_a_name_is_found_before_a_part_what_is_in_season_first_and_the_rest_last(client, shelf):
    assert _found(client, "star") == ["Midwinter", "Stars and moon", "Harbour bouquet", "Sweetheart"]


def test_the_season_is_that_of_the_event(client, shelf):
    found = _found(client, "star", **{"event_start-day": "2027-02-13"})
    assert found == ["Sweetheart", "Stars and moon", "Harbour bouquet", "Midwinter"]
    assert _found(client, "star", **{"hand_over_time-day": "2027-02-13"})[0] == "Sweetheart"
    assert _found(client, "star", **{"event_start-day": "soon"})[0] == "Midwinter"


def test_what_is_out_of_season_is_marked(client, shelf):
    (found,) = having(Page(client.get("/counter/goods?line=0&lines-0-find=sweet").text), "data-season")
    assert found["data-season"] == "1 Feb–14 Feb"
    assert not having(Page(client.get("/counter/goods?line=0&lines-0-find=stars").text), "data-season")


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("bear", ["Hug in a bubble"]),
        ("BÉAR 20", ["Hug in a bubble"]),
        ("moon star", ["Stars and moon"]),
        ("harb", ["Harbour bouquet"]),
        ("rbo", []),
        ("old", []),
        ("16 in", ["16 in latex"]),
        ("  ", []),
        ("%", []),
        ("zeppelin", []),
    ],
)
def test_every_word_typed_begins_a_word_of_the_name_or_of_a_part(client, shelf, typed, found):
    assert _found(client, typed) == found


def test_a_kind_by_its_size_comes_before_designs_that_have_it(client, shelf):
    assert _found(client, "11 in") == ["11 in latex", "Hug in a bubble", "Stars and moon"]


@pytest.mark.parametrize(
    "typed",
    [
        "11 in",
        "11in",
        "11 inch",
        "11 inches",
        '11"',
        "11''",
        "11″",
        "11-inch",
        "11in latex",
        "latex 11 in",
        "LOOSE 11",
        "11",
    ],
)
def test_a_size_in_each_way_of_typing_it_finds_the_balloon_first(client, shelf, typed):
    assert _found(client, typed)[0] == "11 in latex"


def test_a_size_is_not_the_beginning_of_another(client, shelf):
    assert _found(client, "1 in") == []
    assert _found(client, "8 in foil") == []
    assert _found(client, "1 latex") == []
    assert _found(client, "18 foil")[0] == "18 in foil"


def test_loose_latex_is_each_balloon_of_latex_and_first_the_one_in_most_designs(client, shelf):
    found = _found(client, "loose latex")
    assert found[0] == "11 in latex"
    assert {name.rpartition(" ")[2] for name in found} == {"latex"}


def test_the_exact_name_comes_before_balloons_and_balloons_before_the_season(client, database, shelf):
    with database.writing() as session:
        catalogue = load_catalogue(session)
        foil = (part(catalogue, "18 in foil", quantity=1, colours=(("gold star", 1),)),)
        new_design(session, catalogue, name="Foil", parts=foil, seasons=(SEASONS["Sweetheart"],))
        foils = [one.name for one in catalogue.balloon_types.values() if "foil" in one.name]
    found = _found(client, "foil")
    assert found[:2] == ["Foil", "18 in foil"]
    assert sorted(found[1 : 1 + len(foils)]) == sorted(foils)
    assert found[1 + len(foils)] == "Midwinter"


@pytest.mark.parametrize(
    ("typed", "meant", "first"),
    [
        ("latx", "latex", "11 in latex"),
        ("11in latxe", "11in latex", "11 in latex"),
        ("boquet", "bouquet", "Harbour bouquet"),
        ("arbour", "harbour", "Harbour bouquet"),
        ("moom star", "moon star", "Stars and moon"),
    ],
)
def test_a_slip_of_the_keyboard_is_asked_about_and_not_taken(client, shelf, typed, meant, first):
    (said,) = having(
        Page(client.get("/counter/goods", query_string={"line": 0, "lines-0-find": typed}).text), "data-meant"
    )
    assert said["data-meant"] == meant
    assert _found(client, typed)[0] == first
    page, _ = _draft(client, "find-0", lines__0__find=typed, lines__0__what="")
    assert (page.values["lines-0-find"], page.values.get("lines-0-what", "")) == (typed, "")


def test_what_is_found_as_typed_is_no_suggestion(client, shelf):
    page = Page(client.get("/counter/goods?line=0&lines-0-find=star").text)
    assert not having(page, "data-meant")


@pytest.mark.parametrize("typed", ["28 cm", "27.9 cm", "27,9cm", "28 latex"])
def test_sizes_are_typed_in_cm_where_the_shop_shows_cm(client, shelf, typed):
    assert "11 in latex" not in _found(client, typed)
    client.post("/office/settings", data={"length": "cm"})
    assert _found(client, typed)[0] == "11 in latex"
    assert _found(client, "11 in")[0] == "11 in latex"


def test_what_was_taken_is_named_at_its_line(client, shelf):
    page, _ = _draft(client, "what-0-balloon_type:4", lines__0__find="11in", lines__0__what="")
    assert page.by_id["taken-0"]["data-taken"] == "balloon_type:4"
    page, _ = _draft(client, "work")
    assert "taken-0" not in page.by_id


def test_a_long_list_says_how_many_there_are(client, shelf):
    (found,) = having(Page(client.get("/counter/goods?line=0&lines-0-find=in").text), "data-found")
    assert int(found["data-found"]) >= 10
    assert len(_found(client, "in")) == 8


def test_nothing_found_says_so_and_an_empty_field_says_nothing(client, shelf):
    (found,) = having(Page(client.get("/counter/goods?line=0&lines-0-find=zz").text), "data-found")
    assert found["data-found"] == "0"
    assert words(client.get("/counter/goods?line=0&lines-0-find=").text) == ""


def _draft(client, fix, **changes):
    answer = client.post("/counter/draft", data=payload(fix=fix, **changes))
    assert answer.status_code == 200
    return Page(answer.text), answer.text


@pytest.mark.parametrize("what", ["design:{Midwinter}", "balloon_type:4"])
def test_a_press_chooses_for_its_line_and_goes_on_to_how_many(client, shelf, what):
    what = what.format(**shelf)
    page, _ = _draft(
        client,
        f"what-1-{what}",
        lines__1__find="star",
        lines__1__quantity="",
        lines__1__what="",
        lines__1__colours="",
    )
    assert (page.values["lines-1-what"], page.values["lines-1-find"]) == (what, "")
    assert page.values["lines-0-what"] == "balloon_type:4"
    assert "autofocus" in next(attrs for _, attrs in page.tags if attrs.get("id") == "lines-1-quantity")


@pytest.mark.parametrize("fix", ["find-0", "work", "add-line"])
def test_a_name_that_only_one_thing_has_is_settled_by_any_press(client, shelf, fix):
    page, _ = _draft(client, fix, lines__0__find="bear", lines__0__what="")
    assert (page.values["lines-0-what"], page.values["lines-0-find"]) == (f"design:{shelf['Hug in a bubble']}", "")


def test_a_name_that_several_have_is_asked_about(client, shelf):
    page, text = _draft(client, "find-0", lines__0__find="star", lines__0__what="")
    assert page.values["lines-0-find"] == "star"
    assert not page.values.get("lines-0-what")
    assert text.count('class="caller"') == 4


def test_an_exact_name_is_settled_though_other_names_begin_so_too(client, database, shelf):
    page, _ = _draft(client, "work", lines__0__find="11 in latex", lines__0__what="")
    assert page.values["lines-0-what"] == "balloon_type:4"
    take(client, lines__0__find="latex 11in", lines__0__what="")
    with database.reading() as session:
        assert session.scalars(select(OrderLine.balloon_type_id)).all() == [4]


def test_a_choice_that_stands_is_not_changed_by_what_is_typed_beside_it(client, shelf):
    page, _ = _draft(client, "work", lines__0__find="bear")
    assert page.values["lines-0-what"] == "balloon_type:4"
    page, _ = _draft(client, "find-0", lines__0__find="bear")
    assert page.values["lines-0-what"] == f"design:{shelf['Hug in a bubble']}"


def test_a_name_that_was_typed_and_never_settled_is_not_lost_in_a_taken_order(client, shelf):
    sent = payload(lines__1__find="star", lines__1__what="", lines__1__quantity="", lines__1__colours="")
    answer = client.post("/counter/orders", data=sent)
    assert answer.status_code == 422
    page = Page(answer.text)
    assert page.problem("lines-1-what") == CHOOSE_GOODS
    assert page.values["lines-1-find"] == "star"


def _label(text, what):
    """What the long list of the first line says of a thing, part by part; nothing where it has it not."""
    found = re.search(rf'<option value="{what}"[^>]*>([^<]+)</option>', text)
    return found[1].split(" · ") if found else []


def test_the_long_list_has_the_season_first_and_the_others_last(client, shelf):
    text = client.get("/counter/").text
    places = [text.index(f">{name} ·") for name in ("Midwinter", "Harbour bouquet", "11 in latex", "Sweetheart")]
    assert places == sorted(places)
    assert f'<optgroup label="{OUT_OF_SEASON}">' in text
    assert _label(text, f"design:{shelf['Sweetheart']}")[:3] == ["Sweetheart", "£26.00", "1 Feb–14 Feb"]
    assert "Old star" not in text


def test_an_order_keeps_its_retired_goods_to_choose_and_no_other_has_them(client, database, shelf):
    sweet = shelf["Stars and moon"]
    number = take(client, lines__0__what=f"design:{sweet}", lines__0__quantity="1", lines__0__colours="blue")
    other = take(
        client,
        client_key="key-2",
        lines__0__what="balloon_type:6",
        lines__0__quantity="1",
        lines__0__colours="red",
        bench_override="By turns.",
    )
    with database.writing() as session:
        archive_design(session, sweet, MORNING)
        session.get(BalloonTypeRow, 6).archived_at = MORNING
    page = client.get(f"/counter/orders/{number}/change").text
    assert _label(page, f"design:{sweet}")[:2] == ["Stars and moon", ARCHIVED]
    assert _label(page, "balloon_type:6") == []
    assert "16 in latex" not in re.sub(r"×\s*16 in latex", "", page)
    page = client.get(f"/counter/orders/{other}/change").text
    assert _label(page, "balloon_type:6") == ["16 in latex", ARCHIVED]
    assert _label(page, f"design:{sweet}") == []
    assert _found(client, "stars and") == []
    assert _found(client, "16 in") == []


def test_what_the_list_says_follows_the_design(client, database, shelf):
    with database.writing() as session:
        catalogue = load_catalogue(session)
        figures = design_figures(
            catalogue, name="Harbour lantern", price_minor=None, parts=(part(catalogue, quantity=2),)
        )
        change_design(ctx(session, shop=load_shop(session), catalogue=catalogue), shelf["Harbour bouquet"], figures)
        assert balloon_type_id(catalogue) == 4
    assert _found(client, "lantern") == ["Harbour lantern"]
    assert "Harbour lantern" not in _found(client, "star")
