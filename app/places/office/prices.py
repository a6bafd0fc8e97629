"""Office: the pages of the price lists. All changed rows are saved together, or none is."""

from collections.abc import Callable, Mapping
from functools import update_wrapper
from typing import Any

from flask import Blueprint, flash, make_response, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.datastructures import MultiDict

from app.places.office.price_csv import Preview, PriceFileForm, price_csv, read_prices
from app.places.office.price_list import PRICE_LISTS, PriceList
from app.places.office.recalculated import save_and_recalculate, status_of
from app.quoting.errors import Refused
from app.web.forms import FormGroup
from app.web.forms.drawn import Drawn, drawn_fields
from app.web.htmx import see_other
from app.web.requests import only_reads, request_context
from app.web.stored_form import StoredForm


def register(office: Blueprint) -> None:
    """Registers the pages of both price lists."""
    for prices in PRICE_LISTS:
        address, kind = f"/{prices.path}/prices", prices.kind
        office.get(address, endpoint=f"{kind}_prices")(_of(prices, show_prices))
        office.post(address, endpoint=f"save_{kind}_prices")(_of(prices, save_prices))
        office.get(f"{address}.csv", endpoint=f"{kind}_prices_csv")(_of(prices, send_prices))
        office.post(f"{address}/file", endpoint=f"read_{kind}_prices")(only_reads(_of(prices, read_file)))


def _of(prices: PriceList, view: Callable[[PriceList], Response]) -> Callable[[], Response]:
    """Returns the view of one of the price lists."""
    return update_wrapper(lambda: view(prices), view)


def show_prices(prices: PriceList) -> Response:
    """Shows a price list."""
    return _page(prices, _group(prices))


def save_prices(prices: PriceList) -> Response:
    """Saves all rows that were changed; none if one of them is refused."""
    stored = _stored(prices)
    group = _group(prices, request.form)
    if stored.accepts(group):
        try:
            if _save(prices, group, stored):
                return see_other(url_for(f"office.{prices.kind}_prices"))
        except Refused as refused:
            group.form_errors += [problem.sentence for problem in refused.problems]
    return _page(prices, group, status=status_of(group))


def send_prices(prices: PriceList) -> Response:
    """Returns a price list as a table."""
    return price_csv(prices, _forms(prices))


def read_file(prices: PriceList) -> Response:
    """Shows what a file would change, row by row, and which rows it refuses. Saves nothing."""
    file_form = PriceFileForm()
    try:
        preview = read_prices(prices, _forms(prices), file_form.read_file())
    except ValueError as wrong:
        file_form.refuse(str(wrong))
        return _page(prices, _group(prices), file_form=file_form, status=422)
    group = _group(prices, MultiDict(preview.texts))
    group.validate()
    return _page(prices, group, preview=preview)


def _forms(prices: PriceList, sent: Any = None) -> list[Any]:
    """Returns the form of each of the goods."""
    return [prices.make_form(row, sent) for row in prices.load()]


def _group(prices: PriceList, sent: Mapping[str, str] | None = None) -> FormGroup:
    """Returns the forms of all goods as one."""
    return FormGroup((form.goods.name, form) for form in _forms(prices, sent))


def _stored(prices: PriceList) -> StoredForm:
    """Returns what is stored of the prices."""

    def read() -> Drawn:
        return drawn_fields(_group(prices))

    return StoredForm(prices.subject, read)


def _save(prices: PriceList, group: FormGroup, stored: StoredForm) -> bool:
    """Saves what was changed, and returns whether it was saved."""
    if prices.recalculates:
        return save_and_recalculate(group, lambda: _change(prices, group, stored))
    flash(_change(prices, group, stored))
    return True


def _change(prices: PriceList, group: FormGroup, stored: StoredForm) -> str:
    """Changes the goods whose prices differ, and returns the sentence about it. Raises Refused if one is refused,
    which then says why."""
    changed, is_refused = 0, False
    for _, form in group.forms:
        try:
            changed += prices.change(form.goods, form)
        except Refused as refused:
            form.add_problems(refused.problems)
            is_refused = True
    if is_refused:
        raise Refused
    request_context().session.flush()
    stored.write_history()
    return "1 row saved." if changed == 1 else f"{changed} rows saved."


def _page(
    prices: PriceList,
    group: FormGroup,
    *,
    preview: Preview | None = None,
    file_form: PriceFileForm | None = None,
    status: int = 200,
) -> Response:
    """Returns the page of a price list. preview: what a file would change."""
    _stored(prices).draw(group)
    page = render_template(
        "office/prices.html",
        prices=prices,
        form=group,
        rows=[(form, prices.calculate(form.goods), prices.when_blank(form)) for _, form in group.forms],
        preview=preview,
        from_file={cell.target for row in preview.changed for cell in row.cells} if preview else (),
        file_form=file_form or PriceFileForm(),
    )
    return make_response(page, status)
