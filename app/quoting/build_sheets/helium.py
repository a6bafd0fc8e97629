"""Constructions that helium lifts: bouquets, strings, strung arches."""

import math
from dataclasses import replace

from app.craft.assembly import bouquet_steps, strung_steps
from app.craft.bouquet import Cut
from app.craft.bouquet_drawing import draw_bouquet
from app.craft.cluster_drawings import draw_strung
from app.craft.strung import StrungArch, strung_arch
from app.quoting.build_sheets.bouquets import in_turn, place_balloons
from app.quoting.build_sheets.input import BalloonGroup, BuildInput, BuildPlace, colour_names, film_names
from app.quoting.build_sheets.sheet import (
    BuildSheet,
    CannotBuild,
    Fact,
    Measure,
    RequiredWeight,
    count_cautions,
    largest_group,
    required_weight_of,
)
from app.quoting.shop import Shop

DRAWN_AS_STRING = "The drawing and the ribbons are for a vertical string."
NO_HELIUM = "Add helium balloons: they lift a strung arch."


def make_bouquet_sheet(build_input: BuildInput, build_place: BuildPlace, shop: Shop) -> BuildSheet:
    """Returns the build sheet of a bouquet or of strings. Raises CannotBuild if there is no balloon."""
    if not build_input.balloons:
        raise CannotBuild("Add a balloon first.")
    construction, balloons = build_input.build.construction, build_input.balloons
    calm, windy = (
        place_balloons(construction, balloons, build_place.air, shop, wind) for wind in (0.0, build_place.wind_m_s)
    )
    here = windy.bouquet if build_place.surroundings.outdoors else calm.bouquet
    slip_reason = (f"{calm.slip_reason} {DRAWN_AS_STRING}",) if calm.slip_reason else ()
    return BuildSheet(
        drawing=draw_bouquet(here, shop.outdoors.grip),
        balloons_used=balloons,
        colours=colour_names(balloons),
        films=film_names(balloons),
        facts=(
            Fact("Width", here.width_cm, Measure.CM),
            Fact("Height without ribbons", here.height_cm, Measure.CM),
        ),
        cuts=here.cuts,
        lift_g=here.net_lift_g,
        required_weight=required_weight_of(calm.bouquet, windy.bouquet, build_place, shop)
        if here.pull_g > 0
        else None,
        size_cm=(here.width_cm, here.height_cm),
        cautions=(*slip_reason, *(caution.sentence for caution in here.cautions(shop.outdoors.grip))),
        steps=bouquet_steps(here),
    )


def make_strung_sheet(build_input: BuildInput, build_place: BuildPlace, shop: Shop) -> BuildSheet:
    """Returns the build sheet of a strung arch. Raises CannotBuild if there is no balloon with helium."""
    up = [group for group in build_input.balloons if group.rises]
    main = largest_group(up, NO_HELIUM)
    calm, windy = (_string(build_input, main, build_place, shop, wind) for wind in (0.0, build_place.wind_m_s))
    required_weight = _required_weight_at_ends(calm, windy, build_place, shop)
    here = windy if build_place.surroundings.outdoors else calm
    shown = replace(here, end_weight_g=float(required_weight.at_venue_g)) if required_weight else here
    rope_cm = math.ceil(round(here.line.length_m * 100 + 2 * shop.craft.bouquets.end_cm, 6))
    names = colour_names([main])
    return BuildSheet(
        drawing=draw_strung(shown, [names.index(name) for name in in_turn(main.colours)]),
        balloons_used=(main,),
        colours=names,
        facts=(
            Fact("Needs", f"{here.balloons} balloons"),
            Fact("Distance between knots", here.spacing_m * 100, Measure.CM),
            Fact("Lift of the line", f"{here.lift_g_m:.1f}\u00a0g/m"),
        ),
        cut_of="line",
        cuts=(Cut(rope_cm, 1),),
        lift_g=here.lift_g_m * here.line.length_m,
        required_weight=required_weight,
        cautions=(*here.warnings, *count_cautions(build_input, main.count, here.balloons, "strung arch")),
        steps=strung_steps(here.balloons, rope_cm, here.spacing_m * 100),
    )


def _string(
    build_input: BuildInput, main: BalloonGroup, build_place: BuildPlace, shop: Shop, wind_m_s: float
) -> StrungArch:
    """Returns the strung arch in this wind."""
    build = build_input.build
    return strung_arch(
        build.number("span_m"),
        build.number("height_m"),
        main.filling,
        wind_m_s,
        air=build_place.air,
        strung=replace(shop.craft.strung, spacing_m=build.number("spacing_m")),
        float_defaults=shop.float_defaults,
        outdoors=shop.outdoors,
    )


def _required_weight_at_ends(
    calm: StrungArch, windy: StrungArch, build_place: BuildPlace, shop: Shop
) -> RequiredWeight | None:
    """Returns the least weights at its ends; None if it does not rise."""
    if calm.end_weight_g is None or windy.end_weight_g is None:
        return None
    indoors = math.ceil(max(calm.end_weight_g, calm.up_g * shop.craft.bouquets.weight_factor))
    outdoors = max(indoors, math.ceil(windy.end_weight_g))
    here = outdoors if build_place.surroundings.outdoors else indoors
    return RequiredWeight(indoors, outdoors, build_place.wind_m_s, here, each_end=True)
