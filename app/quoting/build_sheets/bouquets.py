"""Bouquets and strings of an order's balloons: each in its place, with its ribbon."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from app.craft.bouquet import Bouquet, Stacking, make_bouquet
from app.craft.build import Construction
from app.craft.piece import BouquetBalloon, bouquet_balloon_of
from app.craft.stacking import CannotStack
from app.physics.air import Air
from app.quoting.build_sheets.input import BalloonGroup, colour_names, film_names
from app.quoting.shop import Shop

WITH_OWN_RIBBONS = (Construction.BOUQUET, Construction.STRINGS)
"""Constructions in which each balloon has a ribbon of its own length."""


@dataclass(frozen=True, slots=True)
class PlacedBouquet:
    """slip_reason: why its balloons cannot rest on one another; they are then placed one above another."""

    bouquet: Bouquet
    slip_reason: str = ""


def place_balloons(
    construction: Construction, balloons: Sequence[BalloonGroup], air: Air, shop: Shop, wind_m_s: float = 0.0
) -> PlacedBouquet:
    """Returns the balloons placed in layers for a bouquet, else one above another. Raises ValueError without
    balloons."""
    pieces, float_defaults = tuple(_pieces(balloons, air, shop, wind_m_s)), shop.craft.bouquets
    if construction is Construction.BOUQUET:
        try:
            return PlacedBouquet(make_bouquet(pieces, Stacking.LAYERS, float_defaults))
        except CannotStack as slips:
            return PlacedBouquet(make_bouquet(pieces, Stacking.COLUMN, float_defaults), str(slips))
    return PlacedBouquet(make_bouquet(pieces, Stacking.COLUMN, float_defaults))


def ribbon_m(construction: Construction, balloons: Sequence[BalloonGroup], air: Air, shop: Shop) -> float:
    """Returns the metres of ribbon in one piece.

    They follow from its cut list if each balloon has a ribbon of its own length, else from the shop's figure for a
    loose helium balloon.
    """
    if construction in WITH_OWN_RIBBONS and balloons:
        return place_balloons(construction, balloons, air, shop).bouquet.ribbon_m
    return sum(group.count for group in balloons if group.rises) * shop.pricing.ribbon_m


def longest_ribbons_m(
    construction: Construction, balloons: Sequence[BalloonGroup], air: Air, shop: Shop
) -> tuple[float, ...]:
    """Returns the metres of the longest ribbon of each group, by the cut list of one piece; 0 for a group without
    balloons.

    Raises ValueError for a construction in which no balloon has a ribbon of its own length, and without balloons.
    """
    if construction not in WITH_OWN_RIBBONS:
        raise ValueError(f"a {construction} has no ribbons of their own length")
    placed = iter(place_balloons(construction, balloons, air, shop).bouquet.balloons)
    lengths = (max((one.ribbon_cm for one in islice(placed, group.count)), default=0) for group in balloons)
    return tuple(length / 100 for length in lengths)


def _pieces(balloons: Sequence[BalloonGroup], air: Air, shop: Shop, wind_m_s: float) -> Iterator[BouquetBalloon]:
    """Yields the balloons with their lift, pull and colour."""
    latex, films = colour_names(balloons), film_names(balloons)
    for group in balloons:
        for colour in in_turn(group.colours):
            yield bouquet_balloon_of(
                group.filling,
                air,
                shop.float_defaults,
                wind_m_s,
                None if group.is_topper else latex.index(colour),
                topper=group.is_topper,
                film_index=films.index(colour) if group.is_topper else None,
            )


def in_turn(colours: Sequence[tuple[str, int]]) -> list[str]:
    """Returns the colour of each balloon, each colour spread evenly over all."""
    spread = [((place + 0.5) / count, name) for name, count in colours for place in range(count)]
    return [name for _, name in sorted(spread, key=lambda pair: pair[0])]
