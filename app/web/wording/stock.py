"""This module words what is in stock."""

from app.actions.stock.articles import Article
from app.actions.stock.deliveries import DeliveryArrival
from app.actions.stock.shortages import ShortGoods, StockCheck
from app.actions.stock.substitutes import Substitute
from app.quoting.catalogue import Catalogue
from app.quoting.extras import price_of_one
from app.quoting.states import SupplyUnit
from app.web.formats import Formats
from app.web.measures import ShownUnit, shown_count

COUNTED_IN = {SupplyUnit.PIECE: "", SupplyUnit.METRE: "m", SupplyUnit.MILLILITRE: "mL"}
"""The unit in which a count is kept."""


def counting_unit(unit: SupplyUnit, formats: Formats) -> ShownUnit:
    """Returns the unit in which the shop reads and types what is counted in this one."""
    return formats.unit(COUNTED_IN[unit])


def describe_count(count: float, article: Article, catalogue: Catalogue, formats: Formats) -> str:
    """Returns a count with its unit: “12”, “4.5 m”, “14.8 ft”."""
    return describe_amount(count, article.unit(catalogue), formats)


def describe_amount(amount: float, unit: SupplyUnit, formats: Formats) -> str:
    """Returns an amount that is counted in this unit: “12”, “4.5 m”, “14.8 ft”."""
    shown = counting_unit(unit, formats)
    return f"{formats.number(shown_count(amount, shown), 2)} {shown.name}".strip()


def name_of_one(unit: SupplyUnit, formats: Formats) -> str:
    """Returns what one is called for which a price stands: “metre”, “foot”, “mL”; empty for a piece."""
    name = counting_unit(unit, formats).name
    return {"m": "metre", "ft": "foot"}.get(name, name)


def price_words(minor: int, unit: SupplyUnit, formats: Formats) -> str:
    """Returns what one costs a customer, where the unit in which it is counted costs this."""
    return formats.money(price_of_one(minor, counting_unit(unit, formats).size))


def price_of_amount(minor: int, amount: float, unit: SupplyUnit, formats: Formats) -> str:
    """Returns the price of one where so much costs this: of a metre or, in a shop that reads feet, of a foot."""
    return formats.money_each(minor, counting_unit(unit, formats).shown(amount))


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


def short_words(short: ShortGoods, catalogue: Catalogue, formats: Formats) -> str:
    """Returns what is short, for a headline: “4 red 11 in latex”."""
    need = short.need
    return f"{describe_count(short.count, need.article, catalogue, formats)} {short_article(short, catalogue)}"


def short_sentence(short: ShortGoods, catalogue: Catalogue, formats: Formats) -> str:
    """Returns how many are needed and left: “Red 11 in latex: 12 needed, 8 left on Saturday 21 November 2026.
    Enough from Thursday 26 November 2026.” It names old ones beside them."""
    need = short.need
    needed, left = (describe_count(one, need.article, catalogue, formats) for one in (need.count, short.free))
    what = short_article(short, catalogue)
    if not short.is_known:
        return f"No {what} in stock, {needed} needed. Is there another name for this colour?"
    enough = f" Enough from {formats.day(short.enough_from)}." if short.enough_from else ""
    remaining = left if short.free else "none"
    said = f"{what[0].upper()}{what[1:]}: {needed} needed, {remaining} left on {formats.day(need.day)}.{enough}"
    return f"{said} {_old_question(short)}" if short.old else said


def _old_question(short: ShortGoods) -> str:
    """Returns the question whether to fill what is too old for it."""
    are, them = ("is", "it") if short.old == 1 else ("are", "them")
    return f"{short.old:,.10g} more {are} there, but old: for water weights and practice. Use {them} anyway?"


def old_words(old: float, article: Article, catalogue: Catalogue, formats: Formats) -> str:
    """Returns how many are too old to be filled, and what for they are good: “12 old: for water weights and
    practice”."""
    return f"{describe_count(old, article, catalogue, formats)} old: for water weights and practice"


def short_article(short: ShortGoods, catalogue: Catalogue) -> str:
    return describe_article(short.need.article, short.need.colour, catalogue)


def enough_sentence(stock: StockCheck, catalogue: Catalogue, formats: Formats) -> str:
    """Returns how many are left of what is scarcest once the order has all that it needs: “5 teal 11 in latex
    left.”"""
    left = {need: stock.count_left_over(need) for need in stock.needs}
    need = min(left, key=lambda one: left[one] / max(one.count, 1))
    count = describe_count(left[need], need.article, catalogue, formats)
    return f"{count} {describe_article(need.article, need.colour, catalogue)} left."


def substitute_title(one: Substitute) -> str:
    """Returns the title of a substitute: “11 in latex: 8 red, 4 white”."""
    line = one.quote.lines[one.line]
    return f"{line.title}: {line.request.colours}" if line.request.colours else line.title
