"""This module words what is in stock."""

from app.actions.stock.articles import Article
from app.actions.stock.deliveries import DeliveryArrival
from app.actions.stock.shortages import ShortGoods, StockCheck
from app.actions.stock.substitutes import Substitute
from app.quoting.catalogue import Catalogue
from app.quoting.states import SupplyUnit
from app.web.formats import Formats

UNITS = {SupplyUnit.PIECE: "", SupplyUnit.METRE: " m", SupplyUnit.MILLILITRE: " mL"}


def describe_count(count: float, article: Article, catalogue: Catalogue, formats: Formats | None = None) -> str:
    """Returns a count with its unit: “12”, “4.5 m”."""
    unit = UNITS[article.unit(catalogue)]
    number = formats.number(count, 2) if formats else f"{round(count, 2):,.10g}"
    return f"{number}{unit}"


def arrival_sentence(came: DeliveryArrival, catalogue: Catalogue, formats: Formats) -> str:
    """Returns what was delivered, what is missing of it, and whether that is still expected."""
    lot = came.lot
    article = Article(lot.balloon_type_id or 0, lot.supply_id or 0)
    arrived = describe_count(lot.arrived, article, catalogue, formats)
    sentence = f"{arrived} {describe_article(article, lot.colour, catalogue)} received and added as a lot."
    if came.rest:
        packs = "1 pack is" if came.rest.packs == 1 else f"{came.rest.packs} packs are"
        return f"{sentence} {packs} missing and still on the way. If nothing more will come, cancel that delivery."
    if came.short:
        short = describe_count(came.short, article, catalogue, formats)
        return f"{sentence} That is {short} fewer than ordered. It is less than a pack, so no more is expected."
    return sentence


def describe_article(article: Article, colour: str, catalogue: Catalogue) -> str:
    """Returns an article with its colour: “red 11 in latex”."""
    return f"{colour} {article.name(catalogue)}".strip()


def short_sentence(short: ShortGoods, catalogue: Catalogue, formats: Formats) -> str:
    """Returns what is short: “Short of 4 red 11 in latex: 12 wanted, 8 free on Sat 21 November; enough from
    Thursday 26.”"""
    need = short.need
    lacking, wanted, free = (
        describe_count(one, need.article, catalogue) for one in (short.count, need.count, short.free)
    )
    there = f"{free} free" if short.free else "none free"
    enough = f"; enough from {formats.day(short.there_from)}" if short.there_from else ""
    what = describe_article(need.article, need.colour, catalogue)
    if not short.is_known:
        return f"There is no {what} on the shelves, of which {wanted} are wanted: is the colour called otherwise?"
    return f"Short of {lacking} {what}: {wanted} wanted, {there} on {formats.day(need.day)}{enough}."


def enough_sentence(stock: StockCheck, catalogue: Catalogue) -> str:
    """Returns that everything is in stock, and how many are left of what is scarcest."""
    left = {need: stock.count_left_over(need) for need in stock.needs}
    need = min(left, key=lambda one: left[one] / max(one.count, 1))
    beside = describe_count(left[need], need.article, catalogue)
    return (
        f"All of it is on hand; beside it {beside}"
        f" {describe_article(need.article, need.colour, catalogue)} stay free."
    )


def substitute_title(one: Substitute) -> str:
    """Returns the title of a substitute: “11 in latex: 8 red, 4 white”."""
    line = one.quote.lines[one.line]
    return f"{line.title}: {line.request.colours}" if line.request.colours else line.title
