"""Office: the questions of the review about the work: what burst, what was late or missed, when the shop is
busy, and how long the bench took. Each is asked in the database, and turned here into a picture and its table."""

from collections.abc import Iterable, Sequence
from datetime import time

from app.craft.comparing import surely_at_least
from app.places.office.review_period import Period
from app.places.office.review_sales import MOST_BARS, bars_of, counted_address, step_words
from app.places.office.review_shown import (
    MOST_ROWS,
    Asked,
    CellRow,
    CellSort,
    PictureWithTable,
    Question,
    Table,
    TableColumn,
)
from app.quoting.states import LateReason
from app.store.queries.counted import CountedAs, Group
from app.store.queries.review_bench import (
    BenchRow,
    BurstRow,
    HourRow,
    ReasonRow,
    bench_hours,
    bench_minutes,
    burst_by_colour,
    burst_by_lot,
    burst_by_type,
    late_or_missed,
    orders_taken,
)
from app.web.drawings.bar_chart import BarRow, HourLine, layout_heat
from app.web.formats import Formats
from app.web.locales import weekday_names
from app.web.wording.review import (
    LATE_SERIES,
    MEASURED,
    NO_COLOUR,
    PICTURE_WORDS,
    heat_text,
    late_words,
    of_words,
    reason_words,
)

MOST_LOTS = 14
_TYPE, _COLOUR = TableColumn("balloon_type", CellSort.TEXT), TableColumn("colour", CellSort.TEXT)
BURST_COLUMNS = {
    "burst-types": (_TYPE,),
    "burst-colours": (_COLOUR,),
    "burst-lots": (_TYPE, _COLOUR, TableColumn("received", CellSort.DAY)),
}
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def what_burst(asked: Asked) -> Question:
    """Returns the balloon types, colours and lots of which surely most burst, with how many were filled."""
    sources = (("types", burst_by_type), ("colours", burst_by_colour), ("lots", burst_by_lot))
    pictures = (
        _burst_picture(f"burst-{name}", source(asked.session, *asked.period.bounds), asked)
        for name, source in sources
    )
    return Question("burst", tuple(pictures))


def _burst_picture(name: str, rows: Iterable[BurstRow], asked: Asked) -> PictureWithTable:
    formats = asked.formats
    columns = BURST_COLUMNS[name]
    some = sorted(rows, key=lambda row: (-_least(row), -row.burst, row.balloon_type, row.colour, row.lot_id))
    most = MOST_LOTS if name == "burst-lots" else MOST_BARS
    shown, bars = [], []
    for place, row in enumerate(some):
        of = row.filled + row.burst
        share = row.burst / of if of else None
        what = {"balloon_type": row.balloon_type, "colour": row.colour or NO_COLOUR, "received": row.received_on}
        address = counted_address(asked.period, CountedAs.FILLED, _part_of(row)) if place < MOST_ROWS else ""
        shown.append(
            CellRow((*(what[one.name] for one in columns), row.filled, row.burst, share, _least(row)), address)
        )
        if row.burst and place < most:
            said = of_words(row.burst, of)
            bars.append(BarRow(_lot_words(row, formats), said, (_least(row),), address, reach=share or 0.0))
    numbers = TableColumn("filled"), TableColumn("burst")
    shares = TableColumn("burst_share", CellSort.SHARE), TableColumn("at_least", CellSort.SHARE)
    table = Table(name, (*columns, *numbers, *shares), tuple(shown))
    return PictureWithTable(bars_of(name, bars), table)


def _part_of(row: BurstRow) -> str:
    """Returns what of all that was filled a row stands for, as it stands in an address."""
    if row.lot_id:
        return f"{Group.LOT}-{row.lot_id}"
    return f"{Group.BALLOON}-{row.balloon_type}" if row.balloon_type else f"{Group.COLOUR}-{row.colour}"


def _least(row: BurstRow) -> float:
    return surely_at_least(row.burst, row.filled + row.burst)


def _lot_words(row: BurstRow, formats: Formats) -> str:
    """Returns the balloon type, the colour and the day of a lot, as far as there are any."""
    day = formats.short_date_with_year(row.received_on) if row.received_on else ""
    named = row.balloon_type, row.colour or ("" if row.balloon_type and not row.received_on else NO_COLOUR), day
    return ", ".join(filter(None, named))


def what_was_late(asked: Asked) -> Question:
    """Returns the late and the missed orders by their reason."""
    rows, *before = (_by_reason(asked, one) for one in asked.periods)
    reasons = {reason for found in (rows, *before) for reason in found}
    every = [rows.get(reason, ReasonRow(reason, 0, 0)) for reason in reasons]
    every.sort(key=lambda row: (row.reason is None, -(row.late + row.missed), row.reason or ""))
    shown, bars = [], []
    for row in every:
        earlier = [one[row.reason].late + one[row.reason].missed if row.reason in one else 0 for one in before]
        words = reason_words(row.reason)
        address = counted_address(asked.period, CountedAs.LATE, reason=row.reason or "unsaid")
        shown.append(CellRow((words, row.late, row.missed, *earlier), address))
        if not row.late + row.missed:
            continue
        bars.append(BarRow(words, late_words(row.late, row.missed), (float(row.late), float(row.missed)), address))
    columns = (
        *(TableColumn("reason", CellSort.TEXT), TableColumn("late"), TableColumn("missed")),
        *(TableColumn(f"late_{name}") for name in asked.period.compared),
    )
    return Question(
        "late", (PictureWithTable(bars_of("late", bars, LATE_SERIES), Table("late", columns, tuple(shown))),)
    )


def _by_reason(asked: Asked, period: Period) -> dict[LateReason | None, ReasonRow]:
    rows = late_or_missed(asked.session, *period.bounds, asked.today, asked.now)
    return {row.reason: row for row in rows}


def when_it_is_busy(asked: Asked) -> Question:
    """Returns the orders taken and the minutes at the bench by hour and weekday."""
    start, end = asked.period.bounds
    zone = asked.shop.zone
    return Question(
        "busy",
        (
            _heat("busy-orders", orders_taken(asked.session, start, end, zone), asked, CountedAs.TAKEN),
            _heat("busy-bench", bench_minutes(asked.session, start, end, zone), asked, CountedAs.TIMED),
        ),
    )


def _heat(name: str, rows: Sequence[HourRow], asked: Asked, what: CountedAs) -> PictureWithTable:
    formats = asked.formats
    counts = {(row.hour, row.weekday): row.count for row in rows}
    hours = sorted({row.hour for row in rows})
    names = [short for _, short in weekday_names(formats.locale)]
    lines = [
        HourLine(
            formats.time_of_day(time(hour)),
            [counts.get((hour, day), 0) for day in range(7)],
            [counted_address(asked.period, what, f"{Group.HOUR}-{day}-{hour}") for day in range(7)],
        )
        for hour in (range(hours[0], hours[-1] + 1) if hours else ())
    ]
    shown = tuple(CellRow((line.words, *line.values)) for line in lines)
    columns = (TableColumn("hour", CellSort.TEXT), *map(_day_column, WEEKDAYS, names))
    if not rows:
        return PictureWithTable(None, Table(name, columns, ()))
    most = max(rows, key=lambda row: row.count)
    busiest = f"{names[most.weekday]} {formats.time_of_day(time(most.hour))}"
    text = heat_text(PICTURE_WORDS[name], sum(counts.values()), busiest)
    return PictureWithTable(layout_heat(text, lines, names), Table(name, columns, shown))


def _day_column(name: str, words: str) -> TableColumn:
    return TableColumn(name, words=words)


def hours_at_the_bench(asked: Asked) -> Question:
    """Returns the hours that were measured and planned, by day or week."""
    period, formats = asked.period, asked.formats
    rows = {row.span: row for row in bench_hours(asked.session, period.step_bounds_of(period))}
    shown, bars = [], []
    for place, step in enumerate(period.steps):
        row = rows.get(place, BenchRow(place, 0, 0, 0))
        address = counted_address(Period(step.first, step.last, period.opening), CountedAs.TIMED)
        shown.append(CellRow((step.first, step.last, row.batches, row.taken, row.planned), address))
        both = (float(row.taken), float(row.planned))
        bars.append(BarRow(step_words(step, formats), formats.minutes(row.taken), both, address))
    columns = (
        *(TableColumn("from", CellSort.DAY), TableColumn("to", CellSort.DAY), TableColumn("batches")),
        *(TableColumn("measured", CellSort.MINUTES), TableColumn("planned", CellSort.MINUTES)),
    )
    chart = bars_of("hours", bars, MEASURED) if rows else None
    return Question("hours", (PictureWithTable(chart, Table("hours", columns, tuple(shown))),))
