"""How a line of an order is put together: drawing, cut list, weights, bags, steps, and what is wrong with it."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from app.craft.bagging import Bagging, FitsNoBag, bag_up
from app.craft.bouquet import Cut
from app.craft.build import Construction
from app.craft.drawing import Drawing
from app.quoting.build_sheets.air import arch_made, base_made, column_made, garland_made, stuffed_made
from app.quoting.build_sheets.helium import bouquet_made, strung_made
from app.quoting.build_sheets.input import BalloonGroup, BuildInput, BuildPlace
from app.quoting.build_sheets.sheet import BuildSheet, Fact, Need, need_of_all, sentence
from app.quoting.build_sheets.weights import ChosenWeight, Water, chosen_weight, too_light, water_for
from app.quoting.catalogue import Catalogue
from app.quoting.defaults import bags_of
from app.quoting.shop import Shop

Former = Callable[[BuildInput, BuildPlace, Shop], BuildSheet]
FORMERS: Mapping[Construction, Former] = {
    Construction.BOUQUET: bouquet_made,
    Construction.STRINGS: bouquet_made,
    Construction.BASE: base_made,
    Construction.COLUMN: column_made,
    Construction.ARCH: arch_made,
    Construction.GARLAND: garland_made,
    Construction.STRUNG: strung_made,
    Construction.STUFFED: stuffed_made,
}


@dataclass(frozen=True, slots=True)
class LineSheet:
    """The build sheet of one piece of a line; only quantity and bagging are about all pieces. colours: names of the
    drawing's tones. cut_of: what is cut, ribbon or line. lift_g: of the whole piece, less its ribbons. water: in
    place of a weight."""

    title: str
    quantity: int
    drawing: Drawing | None = None
    colours: tuple[str, ...] = ()
    facts: tuple[Fact, ...] = ()
    cut_of: str = "ribbon"
    cuts: tuple[Cut, ...] = ()
    lift_g: float | None = None
    need: Need | None = None
    chosen: ChosenWeight | None = None
    water: Water | None = None
    bagging: Bagging | None = None
    cautions: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()

    @property
    def cut_m(self) -> float:
        """The metres in one piece: the sum of the cut list."""
        return sum(cut.length_cm * cut.count for cut in self.cuts) / 100


def make_line_sheet(making: BuildInput, scene: BuildPlace, shop: Shop, catalogue: Catalogue) -> LineSheet | None:
    """Returns the build sheet; None if nothing is put together. What does not fit the construction becomes a
    caution."""
    if making.build.form is Construction.LOOSE:
        return LineSheet(making.title, making.quantity, steps=making.steps) if making.steps else None
    made = _make(making, scene, shop)
    beside = [group for group in making.balloons if group not in made.in_it]
    need, chosen = _need(made, beside, scene, shop), chosen_weight(making.supplies, catalogue)
    bagging, bag_trouble = _bag_up(making, made, shop, catalogue)
    return LineSheet(
        title=making.title,
        quantity=making.quantity,
        drawing=made.drawing,
        colours=made.colours,
        facts=(*made.facts, *_beside(beside)),
        cut_of=made.cut_of,
        cuts=made.cuts,
        lift_g=made.lift_g,
        need=need,
        chosen=chosen,
        water=water_for(need.here_g, catalogue, shop) if need else None,
        bagging=bagging,
        cautions=(*made.cautions, *_too_light(making, need, chosen), *bag_trouble),
        steps=(*made.steps, *making.steps),
    )


def _need(made: BuildSheet, beside: Sequence[BalloonGroup], scene: BuildPlace, shop: Shop) -> Need | None:
    """Returns the weight that holds the construction and what floats beside it; if the construction has two ends,
    half of the latter goes to each."""
    others = need_of_all(beside, scene, shop)
    if made.need is None or others is None:
        return made.need or others
    ends = 2 if made.need.each_end else 1
    more = {name: math.ceil(getattr(others, name) / ends) for name in ("indoors_g", "outdoors_g", "here_g")}
    return replace(made.need, **{name: getattr(made.need, name) + grams for name, grams in more.items()})


def _make(making: BuildInput, scene: BuildPlace, shop: Shop) -> BuildSheet:
    """Returns the build sheet of the construction; if its balloons cannot make it, only a caution that says why."""
    try:
        return FORMERS[making.build.form](making, scene, shop)
    except ValueError as wrong:
        return BuildSheet(cautions=(sentence(str(wrong)),))


def _too_light(making: BuildInput, need: Need | None, chosen: ChosenWeight | None) -> Iterator[str]:
    """Yields a caution if the weight is too light. If none was chosen yet and none belongs to it, nothing is
    wrong."""
    if need and (chosen or making.weighed):
        yield from too_light(need, chosen)


def _beside(beside: Sequence[BalloonGroup]) -> Iterator[Fact]:
    """Yields the balloons that are not part of the construction."""
    if beside:
        listed = (f"{group.count} × {group.filling.balloon_type.name}, {group.filling.gas}" for group in beside)
        yield Fact("Beside it", "; ".join(listed))


def _bag_up(
    making: BuildInput, made: BuildSheet, shop: Shop, catalogue: Catalogue
) -> tuple[Bagging | None, tuple[str, ...]]:
    """Returns how all pieces are bagged, or the sentence that says why none of the shop's bags will do."""
    bags = bags_of(catalogue.supplies.values(), shop.craft)
    if made.size_cm is None or not bags.bags:
        return None, ()
    try:
        return bag_up(making.quantity, *made.size_cm, bags), ()
    except FitsNoBag as none:
        return None, (str(none),)
