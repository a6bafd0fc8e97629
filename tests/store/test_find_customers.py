"""Who is calling, found among 10,000 invented customers: against a plain look at every one of them."""

import random
import shutil
import unicodedata
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import event, insert

from app.store.engine import Database
from app.store.models import Customer, CustomerPhone
from app.store.queries.customers import find_callers, find_customers
from app.store.search_keys import digits_of, fold_text
from tests.amounts import amount

CUSTOMERS = 10_000
FIRST = "Ada Élodie Bram Søren Zoë Ines Ngozi Ulf Perpetua Jürgen Maeve Tariq Óscar Wilhelmina Yū Caspian"
STEMS = "Ald Bram Cor Dun Èl Fen Gris Hol Ing Kest Lun Märs Nor Ould Pell Quor Ros Sil Tarn Vex Wil Yar"
ENDS = "acre bury combe don ery ford gate ham ick kin ley mond ner ône pool quist rüd ström thorpe vale wick"
MORE = ("", "", "", " & Sons", " 50%", "_Ltd", "'s Café", "-Ashe")
SHAPES = ("{a} {b} {c}", "({a}) {b}-{c}", "{a}{b}{c}", "+{a} {b} {c}", "{a}-{b}/{c}", "{a}.{b}.{c}")


def _plain(text):
    marks = unicodedata.normalize("NFD", text.lower())
    return "".join(letter for letter in marks if unicodedata.category(letter) != "Mn")


def _figures(text):
    return "".join(sign for sign in text if sign in "0123456789")


class Cast:
    """Everybody as they were given, with the moment of their last order."""

    def __init__(self, seed=20261121):
        self.dice = random.Random(seed)
        self.people = [self._person(number) for number in range(1, CUSTOMERS + 1)]
        self.figures = [
            (_figures(phone), number)
            for number, _, phones, _, merged in self.people
            if not merged
            for phone in phones
        ]
        self.plain = {number: _plain(name) for number, name, *_ in self.people}

    def _person(self, number):
        dice = self.dice
        name = " ".join(
            (dice.choice(FIRST.split()), dice.choice(STEMS.split()) + dice.choice(ENDS.split()) + dice.choice(MORE))
        )
        phones = [self._phone() for _ in range(dice.choice((1, 1, 1, 2, 3)))]
        # Few moments, so that many are alike and the number decides.
        last = (
            None if dice.random() < 0.1 else datetime(2025, 1, 1, tzinfo=UTC) + timedelta(days=dice.randrange(400))
        )
        merged = number > 1000 and dice.random() < 0.05
        return number, name, phones, last, merged

    def _phone(self):
        dice = self.dice
        area = f"{dice.choice(('0', '00', '44', '1', ''))}{dice.randrange(100, 9999)}"
        return dice.choice(SHAPES).format(a=area, b=f"{dice.randrange(1000):03}", c=f"{dice.randrange(1000):03}")


@pytest.fixture(scope="module")
def cast():
    return Cast()


@pytest.fixture(scope="module")
def crowd(shop_file, tmp_path_factory, cast):
    """The cast in a shop's file."""
    file = shutil.copy(shop_file, tmp_path_factory.mktemp("crowd") / "crowd.sqlite")
    database = Database(f"sqlite:///{file}")
    with database.writing() as session:
        session.execute(insert(Customer), [_row(*person) for person in cast.people])
        phones = [{"customer_id": number, "shown": shown} for number, _, of, *_ in cast.people for shown in of]
        session.execute(insert(CustomerPhone), phones)
    with database.reading() as session:
        yield session
    database.engine.dispose()


def _row(number, name, phones, last, merged):
    return {
        "id": number,
        "name": name,
        "name_folded": fold_text(name),
        "phone_digits": " ".join(map(digits_of, phones)),
        "last_order_at": last,
        "merged_into_id": 1 if merged else None,
    }


def _by_run(cast, typed):
    """Who is not merged and has a phone that holds the digits, or the last nine of them, or that begins with what
    is left of a text that begins with 00 or + without up to three more digits; the latest first."""
    run = _figures(typed)
    end, starts = run[-9:], tuple(_starts(typed, run))  # who has the whole run has its end too
    numbers = {number for figures, number in cast.figures if end in figures or figures.startswith(starts)}
    found = [cast.people[number - 1] for number in numbers]
    return sorted(found, key=_latest_first)


def _starts(typed, run):
    if run[:2] == "00":
        run = run[2:]
    elif typed[:1] != "+":
        return []
    rests = [run, run[1:], run[2:], run[3:]]
    return [zero + rest for rest in rests if len(rest) > 2 for zero in ("", "0")]


def _by_name(cast, typed):
    """Everybody who is not merged and has the text in their name; who begins with it first, then the latest."""
    part = _plain(typed)
    found = [person for person in cast.people if not person[4] and part in cast.plain[person[0]]]
    return sorted(found, key=lambda p: (not cast.plain[p[0]].startswith(part), *_latest_first(p)))


def _latest_first(person):
    return -(person[3].timestamp() if person[3] else -1), -person[0]


def _numbers(rows):
    return [row.id for row in rows]


def _spelled(dice, run):
    """The digits with signs between them, as somebody may type them."""
    return "".join(digit + dice.choice(("", "", "", " ", "-", " (", ")", ".", "/")) for digit in run)


def test_runs_of_digits_find_whom_a_plain_scan_finds(crowd, cast):
    dice = random.Random(1)
    several = 0
    for _ in range(amount(100, deep=200)):
        figures = _figures(dice.choice(dice.choice(cast.people)[2]))
        start = dice.randrange(len(figures) - 2)
        run = figures[start : start + dice.randrange(3, 13)] if dice.random() < 0.8 else str(dice.randrange(10**7))
        if len(run) < 3:
            continue
        wanted = [person[0] for person in _by_run(cast, run)]
        assert _numbers(find_customers(crowd, _spelled(dice, run), limit=None)) == wanted, run
        assert _numbers(find_customers(crowd, run)) == wanted[:8]
        several += len(wanted) > 8
    assert several > amount(20, deep=50)


def test_a_country_code_half_typed_finds_whom_a_plain_scan_finds(crowd, cast):
    dice = random.Random(3)
    beyond = 0
    for _ in range(100):
        figures = _figures(dice.choice(dice.choice(cast.people)[2])).lstrip("0")
        begin = dice.choice(("+44", "+1", "+358", "0044", "00 1"))
        typed = f"{begin} {figures[: dice.randrange(3, 12)]}"
        wanted = _by_run(cast, typed)
        assert _numbers(find_customers(crowd, typed, limit=None)) == [person[0] for person in wanted], typed
        beyond += any(not any(_figures(typed) in f for f in map(_figures, person[2])) for person in wanted)
    assert beyond > 50


def test_who_has_both_name_and_phone_comes_first(crowd, cast):
    dice = random.Random(4)
    for _ in range(60):
        number, name, phones, *_rest, merged = dice.choice(cast.people)
        if merged:
            continue
        phone = _figures(dice.choice(phones))[:4]
        by_phone = [person[0] for person in _by_run(cast, phone)]
        by_name = [person[0] for person in _by_name(cast, name)]
        both = [one for one in by_name if one in by_phone]
        found = find_callers(crowd, name, phone, "phone")
        assert number in both
        assert _numbers(found.rows)[: len(both[:8])] == both[:8]
        rest = [one for one in by_phone if one not in both]
        assert _numbers(found.rows) == [*both, *rest][:8]
        assert found.more == (len(both) + len(rest) > 8)


def test_parts_of_names_find_whom_a_plain_scan_finds(crowd, cast):
    dice = random.Random(2)
    both = 0
    for _ in range(amount(75, deep=150)):
        name = dice.choice(cast.people)[1]
        start = dice.choice((0, dice.randrange(len(name) - 4)))
        part = " ".join(name[start : start + dice.choice((2, 3, 3, 4, 5, 8, 12))].split())
        if sum(letter.isalpha() for letter in part) < 2:
            continue
        typed = dice.choice((part, part.upper(), _plain(part), f"  {part} "))
        scan = _by_name(cast, part)
        assert _numbers(find_customers(crowd, typed, limit=None)) == [person[0] for person in scan], typed
        begin = [cast.plain[person[0]].startswith(_plain(part)) for person in scan]
        both += True in begin and False in begin
    assert both > amount(4, deep=10)


def test_they_are_shown_as_they_gave_it(crowd, cast):
    number, name, phones, last, _ = next(p for p in cast.people if len(p[2]) == 3 and not p[4])
    (row,) = [row for row in find_customers(crowd, phones[1], limit=None) if row.id == number]
    assert (row.name, row.phones, row.last_order_at) == (name, tuple(phones), last)
    assert row.phone_with(_figures(phones[1])) == phones[1]
    assert row.phone_with("no digits") == phones[0]


@pytest.mark.parametrize(
    "typed", ["", " ", "01", "0 1", "a", "é", "%", "_", "%%", "()", "²³¹", "٣٣٣", "🎈🎈", "--"]
)
def test_too_little_finds_nobody(crowd, typed):
    assert find_customers(crowd, typed) == []


@pytest.mark.parametrize("typed", ["'; --", "zz%", "A_a", "\\a\\", "no such name at all", "99999999999"])
def test_what_nobody_is_called_finds_nobody(crowd, typed):
    assert find_customers(crowd, typed) == []


@pytest.mark.parametrize("typed", ["50%", "s 50%", "_Ltd", "e_l"])
def test_signs_with_a_meaning_in_searches_are_plain_signs(crowd, cast, typed):
    wanted = [person[0] for person in _by_name(cast, typed)] if typed != "50%" else []
    assert _numbers(find_customers(crowd, typed, limit=None)) == wanted


@pytest.mark.parametrize(("typed", "costs"), [("016", 2), ("ada", 2), ("7700900123", 2), ("nobody", 4)])
def test_a_search_costs_few_statements_however_many_there_are(crowd, typed, costs):
    """A name is looked for among the latest customers, then among all that begin so, then in all names."""
    statements = []

    def note(_connection, _cursor, statement, *_rest):
        statements.append(statement)

    event.listen(crowd.get_bind(), "before_cursor_execute", note)
    find_customers(crowd, typed)
    event.remove(crowd.get_bind(), "before_cursor_execute", note)
    assert len([one for one in statements if one.startswith("SELECT")]) == costs
