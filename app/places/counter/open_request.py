"""Reads the open quote's JSON into a request, with a problem at each thing that is wrong or unknown."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from app.physics.balloon import Gas
from app.physics.light import Surroundings
from app.planning.shoptime import TimeShownTwice, TimeSkipped, to_utc
from app.quoting.catalogue import Catalogue
from app.quoting.request import HandOver, LineRequest, Occasion, OrderRequest
from app.quoting.shop import Shop
from app.store.search_keys import fold_text
from app.web.wording import open_quote as words

MOST_LINES = 40
MOST_BALLOONS = 10_000
MOST_MINUTES = 600
MOST_WIND_M_S = 60.0
CELSIUS, ELEVATION_M = (-20.0, 50.0), (-430.0, 5000.0)
YEARS = range(2000, 2101)
WAYS = {
    "collected": HandOver.COLLECT,
    "delivered": HandOver.DELIVER,
    "filled_at_venue": HandOver.VENUE,
}
CUSTOMER = "Open quote"


@dataclass(frozen=True, slots=True)
class FieldProblem:
    """What is wrong at one field, such as “lines[0].kind”."""

    field: str
    sentence: str


@dataclass(slots=True)
class JsonPart:
    """An object of the JSON, at its path, and the problems found so far in all of it."""

    path: str
    values: Mapping[str, Any]
    problems: list[FieldProblem]
    known: set[str] = field(default_factory=set)

    @classmethod
    def of(cls, path: str, values: Any, problems: list[FieldProblem]) -> "JsonPart":
        """Returns the part; an empty one, with a problem, if it is no object."""
        if not isinstance(values, Mapping):
            problems.append(FieldProblem(path, words.ENTER_OBJECT))
        return cls(path, values if isinstance(values, Mapping) else {}, problems)

    def at(self, name: str) -> str:
        """Returns the path of one of its fields."""
        return f"{self.path}.{name}" if self.path else name

    def wrong(self, name: str, sentence: str) -> None:
        """Adds a problem at a field."""
        self.problems.append(FieldProblem(self.at(name), sentence))

    def get(self, name: str) -> Any:
        """Returns the value of a field; None if it is missing or null."""
        self.known.add(name)
        return self.values.get(name)

    def part(self, name: str) -> "JsonPart":
        """Returns an object in it."""
        return JsonPart.of(self.at(name), self.get(name), self.problems)

    def text(self, name: str) -> str | None:
        """Returns a text; None if it is missing, or wrong."""
        value = self.get(name)
        if value is not None and not isinstance(value, str):
            self.wrong(name, words.ENTER_TEXT)
            return None
        return value

    def choice(self, name: str, choices: Iterable[str], default: str | None = None) -> str | None:
        """Returns one of the choices; the default if it is missing, None if it is wrong."""
        value, known = self.get(name), tuple(choices)
        if value is None and default is not None:
            return default
        if not isinstance(value, str) or value not in known:
            self.wrong(name, words.choose_one(known))
            return None
        return value

    def number(self, name: str, low: float, high: float) -> float | None:
        """Returns a number from low to high; None if it is missing, or wrong."""
        value = self.get(name)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            self.wrong(name, words.enter_number(low, high))
            return None
        return float(value)

    def whole(self, name: str, low: int, high: int) -> int | None:
        """Returns a whole number from low to high; None if it is missing, or wrong."""
        value = self.get(name)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            self.wrong(name, words.enter_whole(low, high))
            return None
        return value

    def flag(self, name: str) -> bool:
        """Returns true or false; false if it is missing, or wrong."""
        value = self.get(name)
        if value is not None and not isinstance(value, bool):
            self.wrong(name, words.ENTER_FLAG)
        return value is True

    def refuse_unknown(self) -> None:
        """Adds a problem for each field that nobody asked for, because nothing that is sent is ignored."""
        for name in self.values.keys() - self.known:
            self.wrong(str(name)[:60], words.UNKNOWN_FIELD)


def read_open_request(
    sent: Any, shop: Shop, catalogue: Catalogue
) -> tuple[OrderRequest | None, tuple[FieldProblem, ...]]:
    """Returns the request; None with the problems if anything is wrong."""
    problems: list[FieldProblem] = []
    whole = JsonPart.of("", sent, problems)
    event, hand_over = whole.part("event"), whole.part("hand_over")
    hours = _read_event(event, shop), _read_hand_over(hand_over, shop)
    lines = tuple(_read_lines(whole, catalogue))
    for part in (event, hand_over, whole):
        part.refuse_unknown()
    if problems:
        return None, tuple(problems)
    return OrderRequest(CUSTOMER, "", Occasion.EVENT, lines, **hours[0], **hours[1]), ()


def _read_event(event: JsonPart, shop: Shop) -> dict[str, Any]:
    surroundings = event.choice("where", Surroundings, Surroundings.INDOORS)
    return {
        "event_start": _moment(event, "starts", shop),
        "lasts_until": _moment(event, "ends", shop),
        "surroundings": Surroundings(surroundings or Surroundings.INDOORS),
        "venue_celsius": event.number("celsius", *CELSIUS),
        "venue_elevation_m": event.number("elevation_m", *ELEVATION_M),
        "wind_m_s": event.number("wind_m_s", 0, MOST_WIND_M_S),
    }


def _read_hand_over(part: JsonPart, shop: Shop) -> dict[str, Any]:
    how = WAYS.get(part.choice("how", WAYS) or "", HandOver.COLLECT)
    at, typed = _moment(part, "at", shop), part.whole("travel_minutes", 0, MOST_MINUTES)
    travels = how is not HandOver.COLLECT
    usual = shop.trip.venue_travel_minutes if how is HandOver.VENUE else 0
    travel = (usual if typed is None else typed) if travels else 0
    told = {
        "hand_over": how,
        "travel_minutes": travel,
        "arrives_at": at if travels else None,
        "ready_by": at - timedelta(minutes=travel) if at else None,
    }
    if how is HandOver.VENUE:
        names = ("set_up_minutes", "hanging_minutes", "crew")
        told |= {name: getattr(shop.trip, name) for name in names}
    return told


def _moment(part: JsonPart, name: str, shop: Shop) -> datetime | None:
    """Returns a local time as a moment; None if it is wrong. A time that the clocks show twice needs an offset."""
    text = part.text(name)
    try:
        typed = datetime.fromisoformat(text or "")
        if len(text or "") <= len("2027-03-27") or typed.year not in YEARS:
            raise ValueError(text)
        return typed.astimezone(UTC) if typed.tzinfo else to_utc(typed, shop.zone)
    except TimeSkipped as skipped:
        part.wrong(name, words.time_skipped(skipped.after))
    except TimeShownTwice:
        part.wrong(name, words.TIME_SHOWN_TWICE)
    except ValueError:
        part.wrong(name, words.ENTER_TIME)
    return None


def _read_lines(whole: JsonPart, catalogue: Catalogue) -> Iterator[LineRequest]:
    sent = whole.get("lines")
    if not isinstance(sent, list) or not 1 <= len(sent) <= MOST_LINES:
        whole.wrong("lines", words.enter_lines(MOST_LINES))
        return
    balloons = 0
    for place, values in enumerate(sent):
        part = JsonPart.of(f"lines[{place}]", values, whole.problems)
        line = _read_line(part, catalogue)
        part.refuse_unknown()
        if line:
            balloons += line.quantity * _balloons_in_one(line, catalogue)
            yield line
    if balloons > MOST_BALLOONS:
        whole.wrong("lines", words.too_many_balloons(MOST_BALLOONS))


def _read_line(part: JsonPart, catalogue: Catalogue) -> LineRequest | None:
    """Returns the line; None if it is wrong."""
    known = len(part.problems)
    balloon_type_id, design_id = _read_goods(part, catalogue)
    quantity = part.whole("quantity", 1, MOST_BALLOONS)
    if quantity is None and part.get("quantity") is None:
        part.wrong("quantity", words.enter_whole(1, MOST_BALLOONS))
    gas = Gas(part.choice("gas", Gas, Gas.HELIUM) or Gas.HELIUM)
    treated, colours = part.flag("treated"), _read_colours(part, quantity)
    if len(part.problems) > known:
        return None
    return LineRequest(balloon_type_id, design_id, quantity or 0, colours, gas, treated)


def _read_goods(part: JsonPart, catalogue: Catalogue) -> tuple[int | None, int | None]:
    """Returns the ids of the balloon type and of the design; just one of them is named."""
    kind, design = part.text("kind"), part.text("design")
    if (kind is None) == (design is None):
        part.wrong("kind", words.NAME_ONE)
        return None, None
    if kind is not None:
        found = {fold_text(one.name): one.id for one in catalogue.offered_types}.get(fold_text(kind))
        if found is None:
            part.wrong("kind", words.UNKNOWN_KIND)
        return found, None
    offered = {fold_text(one.name): one.id for one in catalogue.designs.values() if one.archived_at is None}
    found = offered.get(fold_text(design or ""))
    if found is None:
        part.wrong("design", words.UNKNOWN_DESIGN)
    return None, found


def _read_colours(part: JsonPart, quantity: int | None) -> str:
    """Returns the colours as the counter types them; empty if none are named."""
    sent = part.get("colours")
    if sent is None or sent == {}:
        return ""
    counts = sent if isinstance(sent, Mapping) else {}
    sound = all(_is_colour(name) and _is_count(count) for name, count in counts.items())
    if not counts or not sound:
        part.wrong("colours", words.ENTER_COLOURS)
    elif quantity is not None and "kind" in part.values and sum(counts.values()) != quantity:
        part.wrong("colours", words.count_colours(quantity))
    return ", ".join(f"{count} {name.strip()}" for name, count in counts.items() if sound)


def _is_colour(name: str) -> bool:
    """Returns whether the counter can read the name beside a count."""
    return bool(name.strip()) and len(name) <= 40 and all(one.isalpha() or one in " -'" for one in name)


def _is_count(count: Any) -> bool:
    return isinstance(count, int) and not isinstance(count, bool) and 1 <= count <= MOST_BALLOONS


def _balloons_in_one(line: LineRequest, catalogue: Catalogue) -> int:
    if line.design_id is None:
        return 1
    return sum(part.quantity for part in catalogue.designs[line.design_id].parts) or 1
