"""Every form of every place: a summary links to what is refused, and the first wrong field has the focus."""

import io

import pytest
from sqlalchemy import select

from app.actions.orders.cancel import cancel_order
from app.actions.records.catalogue import load_catalogue
from app.actions.records.orders import load_order
from app.store.models import Delivery, Lot, SupplyRow
from tests.actions.builders import BENCH_REASON, CALLED_OFF, at, ctx, new_design, order_request
from tests.actions.builders import take as take_in_store
from tests.actions.photographs import stand_ready
from tests.actions.rental_helpers import hand_over, pole, rental
from tests.places.payloads import PLAIN, Page, take
from tests.places.test_bench_gas import put_venue_order
from tests.places.test_office_gas import ADA

BACK = "/pickups/orders/{out}/back"
COLOURS = "/office/balloon-types/colours"
LATEX = "/office/stock/balloon-type/4"
RECEIVED = {"client_key": "lot", "colour": "Red", "count": "90", "day": "2026-11-20"}
SHOWN = {"shown_name": PLAIN["customer"], "shown_phones-0": PLAIN["phone"]}
BUY = {"rows": "1", "what-0": "balloon_type-4", "colour-0": "red", "packs-0": "1", "due-0": "2026-11-24"}

NEW = PLAIN | {"client_key": "new"}
REFUSED = [
    # endpoint, address, what is sent, where the focus goes: "" is the summary itself
    ("counter.take", "/counter/orders", NEW | {"phone": "Bo", "lines-0-quantity": "many"}, "phone"),
    ("counter.take", "/counter/orders", NEW | {"event_start-hour": "soon"}, "event_start-hour"),
    ("counter.take", "/counter/orders", NEW | {"occasion": "never"}, "occasion-event"),
    ("counter.take", "/counter/orders", NEW | {"lines-0-what": "", "lines-0-colours": "red"}, "lines-0-what"),
    ("counter.take", "/counter/orders", NEW | {"lasts_until-day": "2026-11-22"}, "accepted_risk"),
    ("counter.change", "/counter/orders/{order}/change", PLAIN | {"version": "1", "customer": ""}, "customer"),
    ("counter.cancel", "/counter/orders/{order}/cancel", {"version": "1", "reason": "mistake", "fee": "x"}, "fee"),
    ("counter.cancel", "/counter/orders/{order}/cancel", {"version": "1", "fee": "0"}, "reason-customer"),
    ("counter.reopen", "/counter/orders/{cancelled}/reopen", {"bench_override": "x" * 301}, "bench_override"),
    ("counter.save_payment", "/counter/orders/{order}/payments", {"client_key": "p", "amount": "much"}, "amount"),
    ("counter.save_payment", "/counter/orders/{order}/payments", {"client_key": "p", "how": "shells"}, "how-cash"),
    ("counter.send_or_return_cylinder", "/counter/orders/{venue}/gas/1", {"client_key": "g", "act": "fly"}, ""),
    (
        "counter.add_photos",
        "/counter/orders/{ready}/photos",
        {"client_key": "f", "photos": "none"},
        "photo-files",
    ),
    ("counter.save_customer", "/counter/customers/1", SHOWN | {"name": "", "phones-0": "ask"}, "name"),
    (
        "counter.save_quick_sale",
        "/counter/quick-sale",
        {"client_key": "s", "what": "sold-4", "quantity": "many"},
        "quantity",
    ),
    (
        "counter.save_quick_sale",
        "/counter/quick-sale",
        {"client_key": "s", "what": "gone-4", "quantity": "1"},
        "what",
    ),
    ("counter.save_quick_sale", "/counter/quick-sale", {"client_key": "s"}, ""),
    ("counter.quick_sale", "/counter/quick-sale?what=sold-4&quantity=0", None, "quantity"),
    ("bench.tap", "/bench/batches/{started}-1/taps", {"client_key": "t", "act": "fill", "count": "x"}, "count"),
    ("bench.save_cylinder_press", "/bench/gas/1", {"client_key": "g", "act": "read", "bar": "full"}, "bar-1"),
    ("bench.save_staff", "/bench/staff", {"day": "2026-11-24", "from": "9", "to": "x", "by": "1"}, "staff-to"),
    ("bench.staff", "/bench/staff?day=2026-11-24&from=9&to=12&by=0", None, "staff-by"),
    ("bench.calculator", "/bench/calculator?form=arch&span_m=0", None, "span_m"),
    ("bench.calculator", "/bench/calculator?form=bouquet&number=x&pieces=0", None, "number"),
    ("help.curve", "/help/curve?altitude=high&load=x", None, "load-curve"),
    ("pickups.step", "/pickups/orders/{order}/steps", {"client_key": "s", "step": "handed over"}, ""),
    ("pickups.pay", "/pickups/orders/{order}/payments", {"client_key": "p", "how": "shells", "due": "2640"}, ""),
    ("pickups.place", "/pickups/orders/{order}/place", {"place": "x" * 31}, "place-{order}"),
    ("pickups.rentals", "/pickups/orders/{order}/rentals", {"client_key": "s", "act": "cut"}, ""),
    (
        "pickups.save_return",
        "/pickups/orders/{out}/back",
        {"client_key": "b", "back-{rental}": "x"},
        "back-{rental}",
    ),
    ("pickups.save_return", "/pickups/orders/{out}/back", {"client_key": "b", "note": "x" * 501}, "note"),
    ("staff.add", "/staff/new", {"name": ""}, "name"),
    ("office.review", "/office/review?from=soon", None, "from"),
    ("office.review_orders", "/office/review/orders?from=soon", None, "from"),
    ("office.save_settings", "/office/settings", {"shop_celsius": "warm", "zone": "Mars"}, "zone"),
    ("office.put_back_setting", "/office/settings/history/2/lower_limit_percent", {}, ""),
    ("office.save_hours", "/office/hours", {"opens-2": "9"}, "closes-2"),
    ("office.save_exception", "/office/hours/exceptions", {"day": "", "opens": "x"}, "day"),
    ("office.save_closed_days", "/office/hours/closed", {"first": "2026-12-25", "last": "x"}, "last"),
    (
        "office.save_closed_days",
        "/office/hours/closed",
        {"first": "2026-12-25", "last": "2026-12-20", "reason": "Christmas"},
        "last",
    ),
    ("office.save_closed_days", "/office/hours/closed", {"first": "2026-12-25"}, "reason"),
    ("office.save_week", "/office/bench", {"from-5-1": "8", "to-5-1": "12", "staff-5-1": "x"}, "staff-5-1"),
    ("office.save_day", "/office/bench/days", {"day": "2026-11-28"}, "from-day-0"),
    ("office.save_colour", COLOURS, {"name": "", "fill": "#112233", "finish": "plain"}, "name"),
    ("office.save_colour", COLOURS, {"name": "Dusk", "fill": "blue-ish", "finish": "plain"}, "fill"),
    ("office.save_colour", COLOURS, {"name": "Dusk", "fill": "#112233", "finish": "wet"}, "finish-plain"),
    ("office.save_new_balloon_type", "/office/balloon-types/new", {"name": "x", "nominal_in": "x"}, "nominal_in"),
    ("office.save_new_balloon_type", "/office/balloon-types/new", {"material": "tin"}, "material"),
    ("office.save_balloon_type", "/office/balloon-types/4", {"mass_g": "x"}, "mass_g"),
    ("office.save_balloon_type_prices", "/office/balloon-types/prices", {"price-4": "x"}, "price-4"),
    ("office.save_supply_prices", "/office/supplies/prices", {"pack_size-{ribbon}": "0"}, "pack_size-{ribbon}"),
    ("office.read_balloon_type_prices", "/office/balloon-types/prices/file", {}, "file"),
    ("office.read_supply_prices", "/office/supplies/prices/file", {}, "file"),
    ("office.save_weight", "/office/balloon-types/4/weigh", {"ten": "x"}, "ten"),
    ("office.weigh", "/office/balloon-types/4/weigh?ten=x", None, "ten"),
    ("office.save_timing", "/office/timing", {"gas": "air", "fills": "0", "seconds": "x"}, "fills"),
    ("office.timing", "/office/timing?gas=steam&fills=1&seconds=9", None, "gas-helium"),
    ("office.save_work_time", "/office/work-times", {"figure": "handle_seconds", "seconds": "1"}, ""),
    ("office.save_new_supply", "/office/supplies/new", {"sort": "none"}, "sort"),
    ("office.save_new_supply", "/office/supplies/new", {"sort": "weight", "name": "", "grams": "1"}, "name"),
    ("office.save_supply", "/office/supplies/{ribbon}", {"grams": "x"}, "grams"),
    ("office.receive_balloon_type", LATEX, RECEIVED | {"count": "x"}, "count"),
    ("office.receive_balloon_type", LATEX, RECEIVED | {"client_key": ""}, ""),
    ("office.receive_supply", "/office/stock/supply/{ribbon}", RECEIVED | {"day": "x"}, "day"),
    (
        "office.change_lot",
        "/office/stock/lots/{lot}/count",
        {"count-{lot}": "x", "seen-{lot}": "90"},
        "count-{lot}",
    ),
    ("office.change_lot", "/office/stock/lots/{lot}/aside", {"why-aside-{lot}": ""}, "why-aside-{lot}"),
    ("office.change_lot", "/office/stock/lots/{lot}/use", {"used-{lot}": "1", "seen-{lot}": "90.0"}, ""),
    ("office.save_ordered", "/office/stock/buying", {"press": "7"}, ""),
    (
        "office.save_arrival",
        "/office/stock/deliveries/{delivery}/came",
        {"count-{delivery}": "x"},
        "count-{delivery}",
    ),
    ("office.save_new_design", "/office/designs/new", {"name": "", "price_minor": "x"}, "price_minor"),
    (
        "office.save_design",
        "/office/designs/{design}",
        {"name": "x", "build": "tower", "price_minor": "1"},
        "build",
    ),
    ("office.add_photos", "/office/designs/{design}/photos", {"client_key": "f", "photos": "none"}, "photo-files"),
    ("office.save_new_cylinder", "/office/gas/new", ADA | {"full": "x"}, "full"),
    ("office.save_cylinder", "/office/gas/1", ADA | {"holds": "x"}, "holds"),
    ("office.cylinder_action", "/office/gas/1/press", {"client_key": "g", "act": "use", "bar": "x"}, "bar-1"),
]

WITHOUT_FIELDS = {
    # One press and nothing typed: what cannot be done is an answer of its own, or nothing at all.
    *(
        "counter.undo_saved_payment",
        "counter.undo_sale",
        "bench.undo",
        "bench.say_why_not_made",
        "bench.settle_leftover",
        "bench.undo_leftover",
        "counter.remove_photo",
        "counter.merge",
        "pickups.say_why_late",
        "pickups.undo",
        "staff.choose_look",
    ),
    *(
        "pickups.undo_on_page",
        "staff.chosen",
        "office.remove_exception",
        "office.remove_day",
        "office.remove_colour",
        "office.remove_these_days",
    ),
    "office.back_up_now",
    *("office.archive_this_balloon_type", "office.restore_balloon_type", "office.archive_this_supply"),
    *("office.restore_supply", "office.archive", "office.restore", "office.withdraw_delivery"),
    *("office.undo_delivery_withdrawal", "office.first_photo", "office.remove_photo", "office.undo_this_reading"),
    # A draft refuses nothing.
    *("counter.draft", "office.draft_design"),
}


def _at_work(client, database):
    """A shop with something in each place; the numbers that the addresses above name."""
    numbers = {"order": take(client, client_key="one"), "started": take(client, client_key="two")}
    tap = {"act": "start", "client_key": "start", "sure": "yes"}
    client.post(f"/bench/batches/{numbers['started']}-1/taps", data=tap)
    numbers |= {"ready": take(client, client_key="three"), "cancelled": take(client, client_key="four")}
    for percents in ({"lower_limit_percent": "60"}, {"lower_limit_percent": "50", "certainty_percent": "55"}):
        client.post("/office/settings", data=percents)
    client.post("/office/gas/new", data=ADA)
    client.post(LATEX, data=RECEIVED)
    client.post("/office/stock/buying", data=BUY | {"client_key": "buy", "press": "0"})
    numbers["venue"] = put_venue_order(database)
    with database.writing() as session:
        stand_ready(session, load_order(session, numbers["ready"]))
        cancel_order(ctx(session), numbers["cancelled"], 1, CALLED_OFF)
        catalogue, numbers["pole"] = load_catalogue(session), pole(session)
        wanted = order_request(
            catalogue, extras=(rental(numbers["pole"], 2),), return_by=at(9, days=1), bench_override=BENCH_REASON
        )
        out = take_in_store(session, wanted, key="out")
        hand_over(session, out)
        numbers |= {"out": out.number, "rental": out.rentals[0].id}
        numbers["design"] = new_design(session, catalogue, name="Pier bouquet").id
        numbers["ribbon"] = session.scalars(select(SupplyRow.id).where(SupplyRow.sort == "ribbon")).first()
        numbers["lot"], numbers["delivery"] = session.scalar(select(Lot.id)), session.scalar(select(Delivery.id))
    return {name: str(number) for name, number in numbers.items()}


def _sent(client, address, sent, numbers):
    if sent is None:
        return client.get(address.format(**numbers))
    named = {name.format(**numbers): text for name, text in sent.items()}
    if "photos" in named:
        named["photos"] = (io.BytesIO(named["photos"].encode()), "photo.jpg")
    return client.post(address.format(**numbers), data=named)


def _wrong_with(page, focus):
    """What is not as it should be on a page that was refused."""
    summaries = [attrs for _, attrs in page.tags if "data-focus" in attrs]
    if len(summaries) != 1 or not page.summary.split():
        return f"{len(summaries)} summaries: {page.summary}"
    if (summaries[0]["role"], summaries[0]["tabindex"]) != ("alert", "-1"):
        return "a summary that nobody hears of"
    if page.focus() != focus or page.focus() != (page.links[0] if page.links else ""):
        return f"the focus on {page.focus()}, links to {page.links}: {page.summary}"
    if dead := set(page.links) - set(page.by_id):
        return f"links to {dead}, which are not on the page"
    fields = [attrs for _, attrs in page.tags if attrs.get("aria-invalid")]
    if unlinked := {attrs["id"] for attrs in fields} - set(page.links):
        return f"no link to {unlinked}"
    mute = [attrs["id"] for attrs in fields if not _is_described(attrs, page)]
    return f"no sentence at {mute}" if mute else ""


def _is_described(attrs, page):
    described = attrs.get("aria-describedby", "").split()
    return any(page.by_id.get(one, {"text": ""})["text"].split() for one in described)


def test_what_is_refused_stands_in_a_summary_that_links_to_its_fields(client, database):
    """On one filling of the shop: what is refused leaves nothing behind."""
    numbers, wrong = _at_work(client, database), []
    for endpoint, address, sent, focus in REFUSED:
        answer = _sent(client, address, sent, numbers)
        said = _wrong_with(Page(answer.text), focus.format(**numbers))
        if answer.status_code != 422 or said:
            wrong.append(f"{endpoint} {sent}: {answer.status_code}, {said}")
    assert not wrong, "\n".join(wrong)


def test_every_form_that_can_be_refused_is_looked_at(app):
    posts = {rule.endpoint for rule in app.url_map.iter_rules() if "POST" in rule.methods}
    seen = {endpoint for endpoint, *_ in REFUSED}
    assert posts - seen == WITHOUT_FIELDS | {"open_quote.quote_json"}  # which is no form
    assert seen <= {rule.endpoint for rule in app.url_map.iter_rules()}


@pytest.mark.parametrize("address", ["/counter/", "/office/settings", "/office/hours", "/bench/calculator"])
def test_a_page_that_was_not_refused_has_no_summary(client, address):
    page = Page(client.get(address).text)
    assert (page.focus(), page.summary, page.links) == (None, "", [])
