"""Office: the question of the review about helium: what was drawn by the gauges, against what was calculated for
the balloons that were filled."""

from app.actions.gas.reconciliation import GasFinding, compare_between
from app.places.office.review_period import Period
from app.places.office.review_sales import MOST_BARS, bars_of, counted_address
from app.places.office.review_shown import Asked, CellRow, CellSort, PictureWithTable, Question, Table, TableColumn
from app.store.queries.counted import CountedAs
from app.store.queries.gas import all_cylinders
from app.web.drawings.bar_chart import WARNING, BarRow
from app.web.wording.review import DRAWN, litres_words


def helium_drawn(asked: Asked) -> Question:
    """Returns each time between readings that ended on the dates asked about, the one with the largest difference
    first. What is more than the gauges and the calculation can be wrong is marked."""
    start, end = asked.period.bounds
    tolerance, formats = asked.shop.stock_defaults.gas_tolerance, asked.formats
    found = compare_between(asked.context, all_cylinders(asked.session), start, end)
    known = [one for one in found if one.finding(tolerance) is not GasFinding.INCOMPLETE]
    shown, bars = [], []
    for one in sorted(known, key=lambda one: -abs(one.used - one.filled)):
        first, last = (formats.local(at).date() for at in (one.starts, one.ends))
        drawn, calculated, names = round(one.used), round(one.filled), ", ".join(one.names)
        mark = "" if one.finding(tolerance) is GasFinding.MATCHES else WARNING
        address = counted_address(Period(first, last, asked.period.opening), CountedAs.HELIUM)
        shown.append(CellRow((first, last, names, drawn, calculated), address, mark))
        words = f"{names}, to {formats.short_date(last)}"
        values = max(one.used, 0.0), one.filled
        bars.append(BarRow(words, litres_words(drawn, calculated), values, address, mark))
    dates = TableColumn("from", CellSort.DAY), TableColumn("to", CellSort.DAY)
    litres = TableColumn("litres_drawn"), TableColumn("litres_calculated")
    columns = (*dates, TableColumn("cylinders", CellSort.TEXT), *litres)
    table = Table("helium", columns, tuple(shown))
    return Question("helium", (PictureWithTable(bars_of("helium", bars[:MOST_BARS], DRAWN), table),))
