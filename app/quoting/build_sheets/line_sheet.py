"""How a line of an order is put together: drawing, cut list, weights, bags, steps, and what is wrong with it."""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from app.craft.assembly import loose_steps, stuffed_steps
from app.craft.bagging import Bagging, FitsNoBag, bag_up
from app.craft.bouquet import Cut
from app.craft.build import Construction
from app.craft.drawing import Ball, Drawing
from app.craft.piece import CM_PER_INCH
from app.craft.piece_steps import PieceAct, PieceStep
from app.craft.step_aids import draw_loose
from app.quoting.build_sheets.air import (
    make_arch_sheet,
    make_base_sheet,
    make_column_sheet,
    make_garland_sheet,
    make_stuffed_sheet,
)
from app.quoting.build_sheets.bouquets import in_turn
from app.quoting.build_sheets.finish import extra_steps, own_steps, putting_away, weight_steps
from app.quoting.build_sheets.helium import make_bouquet_sheet, make_strung_sheet
from app.quoting.build_sheets.input import BalloonGroup, BuildInput, BuildPlace, colour_names, film_names
from app.quoting.build_sheets.sheet import BuildSheet, Fact, RequiredWeight, required_weight_of_all, sentence
from app.quoting.build_sheets.weights import ChosenWeight, Water, chosen_weight, is_enough, too_light, water_for
from app.quoting.catalogue import Catalogue
from app.quoting.defaults import bags_of
from app.quoting.shop import Shop

SheetMaker = Callable[[BuildInput, BuildPlace, Shop], BuildSheet]
SHEET_MAKERS: Mapping[Construction, SheetMaker] = {
    Construction.BOUQUET: make_bouquet_sheet,
    Construction.STRINGS: make_bouquet_sheet,
    Construction.BASE: make_base_sheet,
    Construction.COLUMN: make_column_sheet,
    Construction.ARCH: make_arch_sheet,
    Construction.GARLAND: make_garland_sheet,
    Construction.STRUNG: make_strung_sheet,
    Construction.STUFFED: make_stuffed_sheet,
}


@dataclass(frozen=True, slots=True)
class LineSheet:
    """The build sheet of one piece of a line; only quantity and bagging are about all pieces.

    loose: its balloons one beside another, if they are not put together. colours, films: their names, by the
    indexes in the drawing. cut_of: what is cut, ribbon or line. lift_g: of the whole piece, less its ribbons.
    water: in place of a weight. steps: from the filled balloons to the holding area.
    """

    title: str
    quantity: int
    drawing: Drawing | None = None
    loose: Drawing | None = None
    colours: tuple[str, ...] = ()
    films: tuple[str, ...] = ()
    facts: tuple[Fact, ...] = ()
    cut_of: str = "ribbon"
    cuts: tuple[Cut, ...] = ()
    lift_g: float | None = None
    required_weight: RequiredWeight | None = None
    chosen: ChosenWeight | None = None
    water: Water | None = None
    bagging: Bagging | None = None
    cautions: tuple[str, ...] = ()
    steps: tuple[PieceStep, ...] = ()

    @property
    def cut_m(self) -> float:
        """The metres in one piece: the sum of the cut list."""
        return sum(cut.length_cm * cut.count for cut in self.cuts) / 100


def make_line_sheet(
    build_input: BuildInput, build_place: BuildPlace, shop: Shop, catalogue: Catalogue
) -> LineSheet | None:
    """Returns the build sheet. Of what is not put together it has only the steps; None without balloons and
    steps. What does not fit the construction becomes a caution."""
    if build_input.build.construction is Construction.LOOSE:
        return _loose_sheet(build_input, build_place, shop, catalogue)
    made = _make(build_input, build_place, shop)
    extra = [group for group in build_input.balloons if group not in made.balloons_used]
    required_weight, chosen = (
        _required_weight(made, extra, build_place, shop),
        chosen_weight(build_input.supplies, catalogue),
    )
    holds = is_enough(required_weight, chosen)
    names = (*made.colours, *(name for group in extra for name, _ in group.colours if name not in made.colours))
    bagging, bag_trouble = _bag_up(build_input, made, shop, catalogue)
    return LineSheet(
        title=build_input.title,
        quantity=build_input.quantity,
        drawing=_with_chosen(made.drawing, chosen) if made.drawing and holds else made.drawing,
        colours=names,
        films=made.films,
        facts=(*made.facts, *_extra(extra)),
        cut_of=made.cut_of,
        cuts=made.cuts,
        lift_g=made.lift_g,
        required_weight=required_weight,
        chosen=chosen,
        water=water_for(required_weight.at_venue_g, catalogue, shop) if required_weight and not holds else None,
        bagging=bagging,
        cautions=(*made.cautions, *_too_light(build_input, required_weight, chosen), *bag_trouble),
        steps=(
            *_with_own(made.steps, extra_steps(extra, names), own_steps(build_input.steps)),
            *weight_steps(build_input, required_weight, chosen),
            *putting_away(build_input, build_place, bagging, fits_no_bag=bool(bag_trouble)),
        ),
    )


def _loose_sheet(
    build_input: BuildInput, build_place: BuildPlace, shop: Shop, catalogue: Catalogue
) -> LineSheet | None:
    """Returns the sheet of a design whose balloons are not put together; None if it has no balloons and no
    steps."""
    if not (build_input.balloons or build_input.steps):
        return None
    rising = sum(group.count for group in build_input.balloons if group.rises)
    required_weight = required_weight_of_all(build_input.balloons, build_place, shop)
    return LineSheet(
        build_input.title,
        build_input.quantity,
        loose=_draw_loose(build_input.balloons) if build_input.balloons else None,
        colours=colour_names(build_input.balloons),
        films=film_names(build_input.balloons),
        steps=(
            *_with_own(
                _stuffing_steps(build_input),
                loose_steps(rising, shop.pricing.ribbon_m * 100),
                own_steps(build_input.steps),
            ),
            *weight_steps(build_input, required_weight, chosen_weight(build_input.supplies, catalogue)),
            *putting_away(build_input, build_place, None, fits_no_bag=False),
        ),
    )


def _with_own(
    steps: Sequence[PieceStep], more: Iterable[PieceStep], own: Sequence[PieceStep]
) -> tuple[PieceStep, ...]:
    """Returns all steps of building: the shop's own ones come last, but of what is stuffed right after the items
    are put in, as nothing inside can be moved once it is closed."""
    after = (PieceAct.SMALL_BALLOONS, PieceAct.CLOSE_COLLAR)
    closed = next((at for at, step in enumerate(steps) if step.act in after), len(steps))
    if closed == len(steps):
        return (*steps, *more, *own)
    return (*steps[:closed], *own, *steps[closed:], *more)


def _with_chosen(drawing: Drawing, chosen: ChosenWeight | None) -> Drawing:
    """Returns a drawing with the grams of the chosen weight beside it, instead of the least that holds it."""
    if chosen is None or chosen.grams is None:
        return drawing
    return replace(drawing, notes=tuple(replace(note, text=f"{chosen.grams:g}\u00a0g") for note in drawing.notes))


def _draw_loose(balloons: Sequence[BalloonGroup]) -> Drawing:
    """Returns the balloons one beside another."""
    latex, films = colour_names(balloons), film_names(balloons)
    drawn = [
        Ball(0.0, 0.0, group.size_in * CM_PER_INCH / 2, None, films.index(name))
        if group.is_topper
        else Ball(0.0, 0.0, group.size_in * CM_PER_INCH / 2, latex.index(name))
        for group in balloons
        for name in in_turn(group.colours)
    ]
    return draw_loose(drawn, on_ribbons=any(group.rises for group in balloons))


def _stuffing_steps(build_input: BuildInput) -> tuple[PieceStep, ...]:
    """Returns how those balloons are filled that only the stuffing machine fills; nothing if there are none."""
    stuffed = next((group for group in build_input.balloons if group.is_stuffed), None)
    return stuffed_steps(stuffed.filling.gas, build_input.item_names) if stuffed else ()


def _required_weight(
    made: BuildSheet, extra: Sequence[BalloonGroup], build_place: BuildPlace, shop: Shop
) -> RequiredWeight | None:
    """Returns the weight that holds the construction and its extra helium balloons; if it has two ends, half of the
    extra weight goes to each."""
    others = required_weight_of_all(extra, build_place, shop)
    if made.required_weight is None or others is None:
        return made.required_weight or others
    ends = 2 if made.required_weight.each_end else 1
    more = {name: math.ceil(getattr(others, name) / ends) for name in ("indoors_g", "outdoors_g", "at_venue_g")}
    return replace(
        made.required_weight, **{name: getattr(made.required_weight, name) + grams for name, grams in more.items()}
    )


def _make(build_input: BuildInput, build_place: BuildPlace, shop: Shop) -> BuildSheet:
    """Returns the build sheet of the construction; if its balloons cannot make it, only a caution that says why."""
    try:
        return SHEET_MAKERS[build_input.build.construction](build_input, build_place, shop)
    except ValueError as wrong:
        return BuildSheet(cautions=(sentence(str(wrong)),))


def _too_light(
    build_input: BuildInput, required_weight: RequiredWeight | None, chosen: ChosenWeight | None
) -> Iterator[str]:
    """Yields a caution if the weight is too light. If none was chosen yet and none belongs to it, nothing is
    wrong."""
    if required_weight and (chosen or build_input.needs_chosen_weight):
        yield from too_light(required_weight, chosen)


def _extra(extra: Sequence[BalloonGroup]) -> Iterator[Fact]:
    """Yields the balloons that are not part of the construction."""
    if extra:
        listed = (f"{group.count} × {group.filling.balloon_type.name}, {group.filling.gas}" for group in extra)
        yield Fact("Extra balloons", "; ".join(listed))


def _bag_up(
    build_input: BuildInput, made: BuildSheet, shop: Shop, catalogue: Catalogue
) -> tuple[Bagging | None, tuple[str, ...]]:
    """Returns how all pieces are bagged, or the sentence that says why none of the shop's bags will do."""
    bags = bags_of(catalogue.supplies.values(), shop.craft)
    if made.size_cm is None or not bags.bags:
        return None, ()
    try:
        return bag_up(build_input.quantity, *made.size_cm, bags), ()
    except FitsNoBag as none:
        return None, (str(none),)
