"""Office: the question of the review about helium: what was drawn by the gauges, against what was calculated for
the balloons that were filled."""

from app.actions.gas.reconciliation import GasFinding, compare_used_with_filled
from app.places.office.review_sales import bars_of
from app.places.office.review_shown import Asked, CellRow, CellSort, PictureWithTable, Question, Table, TableColumn
from app.store.queries.gas import all_cylinders
from app.web.drawings.bar_chart import BarRow
from app.web.wording.review import DRAWN, litres_words


def helium_drawn(asked: Asked) -> Question:
    """Returns each time between readings that ended on the dates asked about, the latest first. Only the last 90
    days are compared."""
    start, end = asked.period.bounds
    tolerance, formats = asked.shop.stock_defaults.gas_tolerance, asked.formats
    shown, bars = [], []
    for one in compare_used_with_filled(asked.context, all_cylinders(asked.session)):
        finding = one.finding(tolerance)
        if finding is GasFinding.INCOMPLETE or not start <= one.ends < end:
            continue
        first, last = (formats.local(at).date() for at in (one.starts, one.ends))
        drawn, calculated, names = round(one.used), round(one.filled), ", ".join(one.names)
        shown.append(CellRow((first, last, names, drawn, calculated)))
        words = f"{names}, to {formats.short_date(last)}"
        bars.append(BarRow(words, litres_words(drawn, calculated), (max(one.used, 0.0), one.filled)))
    dates = TableColumn("from", CellSort.DAY), TableColumn("to", CellSort.DAY)
    litres = TableColumn("litres_drawn"), TableColumn("litres_calculated")
    columns = (*dates, TableColumn("cylinders", CellSort.TEXT), *litres)
    table = Table("helium", columns, tuple(shown))
    return Question("helium", (PictureWithTable(bars_of("helium", bars, DRAWN), table),))
