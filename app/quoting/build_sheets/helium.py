"""Constructions that helium lifts: bouquets, strings, strung arches."""

import math
from dataclasses import replace

from app.craft.bouquet import Cut
from app.craft.bouquet_drawing import draw_bouquet
from app.craft.cluster_drawings import draw_strung
from app.craft.strung import Strung, strung_arch
from app.quoting.build_sheets.bouquets import stand
from app.quoting.build_sheets.input import BalloonGroup, BuildInput, BuildPlace, colour_names
from app.quoting.build_sheets.sheet import BuildSheet, Fact, Measure, Misfit, Need, miscounted, most_of, need_of
from app.quoting.shop import Shop


def bouquet_made(making: BuildInput, scene: BuildPlace, shop: Shop) -> BuildSheet:
    """Returns the build sheet of a bouquet or of strings. Raises Misfit if there is no balloon."""
    if not making.balloons:
        raise Misfit("There is no balloon in it.")
    form, balloons = making.build.form, making.balloons
    calm, windy = (stand(form, balloons, scene.there, shop, wind) for wind in (0.0, scene.wind_m_s))
    here = windy.bouquet if scene.where.outdoors else calm.bouquet
    slipped = (f"{calm.slipped} Drawn and cut here as one above another.",) if calm.slipped else ()
    return BuildSheet(
        drawing=draw_bouquet(here, shop.outdoors.grip),
        in_it=balloons,
        colours=colour_names(balloons),
        facts=(
            Fact("Width", here.width_cm, Measure.CM),
            Fact("Height without ribbons", here.height_cm, Measure.CM),
        ),
        cuts=here.cuts,
        lift_g=here.net_lift_g,
        need=need_of(calm.bouquet, windy.bouquet, scene, shop) if here.pull_g > 0 else None,
        size_cm=(here.width_cm, here.height_cm),
        cautions=(*slipped, *(caution.says for caution in here.cautions(shop.outdoors.grip))),
    )


def strung_made(making: BuildInput, scene: BuildPlace, shop: Shop) -> BuildSheet:
    """Returns the build sheet of a strung arch. Raises Misfit if there is no balloon with helium."""
    up = [group for group in making.balloons if group.rises]
    main = most_of(up, "A strung arch is lifted by helium balloons, and there are none in it.")
    calm, windy = (_string(making, main, scene, shop, wind) for wind in (0.0, scene.wind_m_s))
    need = _need_at_ends(calm, windy, scene, shop)
    here = windy if scene.where.outdoors else calm
    shown = replace(here, end_weight_g=float(need.here_g)) if need else here
    rope_cm = math.ceil(round(here.line.length_m * 100 + 2 * shop.craft.bouquets.end_cm, 6))
    return BuildSheet(
        drawing=draw_strung(shown),
        in_it=(main,),
        facts=(
            Fact("It takes", f"{here.balloons} balloons"),
            Fact("From knot to knot", here.spacing_m * 100, Measure.CM),
            Fact("Lift a metre", f"{here.lift_g_m:.1f} g"),
        ),
        cut_of="line",
        cuts=(Cut(rope_cm, 1),),
        lift_g=here.lift_g_m * here.line.length_m,
        need=need,
        cautions=(*here.warnings, *miscounted(making, main.count, here.balloons, "strung arch")),
    )


def _string(making: BuildInput, main: BalloonGroup, scene: BuildPlace, shop: Shop, wind_m_s: float) -> Strung:
    """Returns the strung arch in this wind."""
    build = making.build
    return strung_arch(
        build.number("span_m"),
        build.number("height_m"),
        main.filling,
        wind_m_s,
        there=scene.there,
        strung=replace(shop.craft.strung, spacing_m=build.number("spacing_m")),
        float_defaults=shop.float_defaults,
        outdoors=shop.outdoors,
    )


def _need_at_ends(calm: Strung, windy: Strung, scene: BuildPlace, shop: Shop) -> Need | None:
    """Returns the least weights at its ends; None if it does not rise."""
    if calm.end_weight_g is None or windy.end_weight_g is None:
        return None
    indoors = math.ceil(max(calm.end_weight_g, calm.up_g * shop.craft.bouquets.weight_factor))
    outdoors = max(indoors, math.ceil(windy.end_weight_g))
    here = outdoors if scene.where.outdoors else indoors
    return Need(indoors, outdoors, scene.wind_m_s, here, each_end=True)
