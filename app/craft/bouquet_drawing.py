"""This module draws a bouquet from the side, with its ribbons, the knot, and the weight on the ground."""

from collections.abc import Mapping

from app.craft.bouquet import Bouquet, PlacedBalloon, Stacking
from app.craft.drawing import Ball, Drawing, DrawingNote, Path, Stroke
from app.craft.stacking import layer_sizes

WEIGHT_CM = (6.0, 4.0, 8.0)
"""Half the width of the drawn weight at its foot, half its width at its top, and its height; not those of a real
one."""


def draw_bouquet(bouquet: Bouquet, grip: float) -> Drawing:
    """Returns the drawing of a bouquet in cm, with the ground at y = 0 and the knot on top of the weight.

    Balloons that are further away come first. Beside the weight stands `Bouquet.needed_weight_g` for this grip,
    whose errors it raises.
    """
    foot, top, rise = WEIGHT_CM
    weight = ((-foot, 0.0), (foot, 0.0), (top, rise), (-top, rise))
    half = max(bouquet.width_cm / 2, 2 * foot)
    ground = Path(((-half, 0.0), (half, 0.0)), Stroke.GROUND)
    parts = {balloon: part for part, layer in enumerate(bouquet.layers) for balloon in layer}
    ribbons = tuple(_ribbon(balloon, rise, parts[balloon]) for balloon in bouquet.balloons)
    needed = bouquet.needed_weight_g(grip)
    return Drawing(
        _words(bouquet),
        _balls(bouquet, rise, parts),
        (ground, *ribbons, Path(weight, Stroke.LINE, closed=True)),
        (DrawingNote(1.5 * foot, rise / 2, f"{needed}\u00a0g"),),
    )


def _ribbon(balloon: PlacedBalloon, rise: float, part: int) -> Path:
    return Path(((balloon.neck.x, balloon.neck.z + rise), (0.0, rise)), Stroke.RIBBON, part=part)


def _balls(bouquet: Bouquet, rise: float, parts: Mapping[PlacedBalloon, int]) -> tuple[Ball, ...]:
    """Returns the balloons, those that are further away first; rise: the height of the weight in cm."""
    away_first = sorted(bouquet.balloons, key=lambda balloon: -balloon.centre.y)
    return tuple(
        Ball(
            balloon.centre.x,
            balloon.centre.z + rise,
            balloon.piece.width_cm / 2,
            None if balloon.piece.topper else balloon.piece.colour_index,
            balloon.piece.film_index,
            parts[balloon],
        )
        for balloon in away_first
    )


def _words(bouquet: Bouquet) -> str:
    """Returns the drawing in words."""
    toppers = sum(balloon.piece.topper for balloon in bouquet.balloons)
    below = len(bouquet.balloons) - toppers
    parts = [_balloons_in_words(below, bouquet.build)] if below else []
    if toppers:
        parts.append("1 balloon on top" if toppers == 1 else f"{toppers} balloons on top")
    tall = (bouquet.height_cm + bouquet.defaults.knot_below_cm) / 100
    layers = f"From the bottom: {', then '.join(parts)}."
    return f"{layers} {tall:.2f}\u00a0m from knot to top."


def _balloons_in_words(balloons: int, build: Stacking) -> str:
    """Returns in words how the balloons below the toppers stand."""
    if balloons == 1:
        return "1 balloon"
    if build is Stacking.COLUMN:
        return f"{balloons} balloons in a vertical string"
    sizes = layer_sizes(balloons)
    if len(sizes) == 1:
        return f"1 layer of {sizes[0]}"
    return f"{balloons} balloons in layers of {', '.join(map(str, sizes[:-1]))} and {sizes[-1]}"
