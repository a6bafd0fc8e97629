"""Constructions filled with air: bases, columns, arches, garlands; and stuffed balloons."""

from collections.abc import Mapping, Sequence

from app.craft.arches import Arch, arch
from app.craft.assembly import arch_steps, base_steps, column_steps, garland_steps, stuffed_steps
from app.craft.cluster_drawings import draw_arch, draw_base, draw_column, draw_garland
from app.craft.clusters import (
    FOUR,
    MOST_COLOURS,
    PAIRS_IN_A_FOUR,
    BalloonBase,
    Column,
    Pattern,
    colour_counts,
    columns,
)
from app.craft.curves import Shape
from app.craft.garland import Fullness, Garland, garland
from app.craft.piece import CM_PER_INCH
from app.craft.stuffed import Filler, Stuffing, draw_stuffed, largest_item_in, reasons_not_to_make
from app.physics.balloon import Gas
from app.quoting.build_sheets.bouquets import in_turn
from app.quoting.build_sheets.input import BalloonGroup, BuildInput, BuildPlace, colour_names
from app.quoting.build_sheets.sheet import (
    BuildSheet,
    CannotBuild,
    Fact,
    Measure,
    count_cautions,
    largest_group,
    required_weight_of_all,
)
from app.quoting.shop import Shop
from app.quoting.states import SupplySort

NO_AIR = "Add latex balloons filled with air: a {} is made of them."


def make_base_sheet(build_input: BuildInput, build_place: BuildPlace, shop: Shop) -> BuildSheet:
    """Returns the build sheet of a base. Raises CannotBuild if there is no latex with air."""
    found = _in_air(build_input)
    main = largest_group(found, NO_AIR.format("base"))
    sizes = sorted((size for group in found for size in _layers_of(group)), reverse=True)
    base = BalloonBase(tuple(sizes))
    names = colour_names([main])
    drawn = names if len(names) <= FOUR else names[:1]
    return BuildSheet(
        drawing=draw_base(base, len(drawn)),
        balloons_used=found,
        colours=drawn,
        facts=(*_tied(base.pairs), Fact("Width", base.width_m * 100, Measure.CM)),
        cautions=tuple(sentence for group in found for sentence in _no_fours(group)),
        steps=base_steps(base, _curls(build_input)),
        size_cm=(base.width_m * 100, base.height_m * 100),
    )


def _curls(build_input: BuildInput) -> int:
    """Returns how many modelling balloons are among its supplies."""
    return round(sum(one.of_one for one in build_input.supplies if one.sort == SupplySort.MODELLING))


def _layers_of(group: BalloonGroup) -> list[float]:
    """Returns the size of each four that the balloons make."""
    return [group.size_in] * max(group.count // FOUR, 1)


def make_column_sheet(build_input: BuildInput, build_place: BuildPlace, shop: Shop) -> BuildSheet:
    """Returns the build sheet of a column. Raises CannotBuild if there is no latex with air."""
    main = largest_group(_in_air(build_input), NO_AIR.format("column"))
    wanted_m = build_input.build.number("height_m")
    offers = columns(wanted_m, main.size_in, shop.craft.columns)
    column = (
        Column(max(main.count // FOUR, 1), main.size_in)
        if build_input.has_final_counts
        else _nearest(offers, wanted_m)
    )
    drawn, pattern, unlike = _coloured(build_input, main, column.layers)
    return BuildSheet(
        drawing=draw_column(column, len(drawn), pattern),
        balloons_used=(main,),
        colours=drawn,
        facts=(*_tied(column.pairs), Fact(f"For {wanted_m:g}\u00a0m", _offered(offers))),
        cautions=(*_no_fours(main), *_other_height(build_input, column, offers), *unlike),
        steps=column_steps(column, len(drawn), pattern),
    )


def _nearest(offers: Sequence[Column], wanted_m: float) -> Column:
    """Returns the column whose height is nearest to the wanted one."""
    return min(offers, key=lambda column: abs(column.height_m - wanted_m))


def _offered(offers: Sequence[Column]) -> str:
    """Returns the columns in words, with balloons and height."""
    return " or ".join(f"{one.balloons} balloons ({one.layers} fours, {one.height_m:.2f}\u00a0m)" for one in offers)


def _other_height(build_input: BuildInput, column: Column, offers: Sequence[Column]) -> tuple[str, ...]:
    """Returns a caution if the column is not one of those offered for its height."""
    if column in offers:
        return ()
    made = f"{column.balloons} balloons make a column {column.height_m:.2f}\u00a0m high"
    return (f"{made}. For {build_input.build.number('height_m'):g}\u00a0m use {_offered(offers)}.",)


def make_arch_sheet(build_input: BuildInput, build_place: BuildPlace, shop: Shop) -> BuildSheet:
    """Returns the build sheet of an arch of fours. Raises CannotBuild if there is no latex with air."""
    main = largest_group(_in_air(build_input), NO_AIR.format("arch of fours"))
    build = build_input.build
    shape = Shape(str(build.figures["shape"]))
    piece = arch(shape, build.number("span_m"), build.number("height_m"), main.size_in, shop.craft.arches)
    drawn, pattern, unlike = _coloured(build_input, main, piece.fours)
    return BuildSheet(
        drawing=draw_arch(piece, len(drawn), pattern),
        balloons_used=(main,),
        colours=drawn,
        facts=(Fact("Needs", f"{piece.balloons} balloons"), *_tied(piece.pairs), *_frame(piece)),
        cautions=(*piece.warnings, *count_cautions(build_input, main.count, piece.balloons, "arch"), *unlike),
        steps=arch_steps(piece, len(drawn), pattern),
    )


def _frame(piece: Arch) -> tuple[Fact, ...]:
    """Returns the measures of the frame and of the opening."""
    return (
        Fact("Frame length", piece.line.length_m, Measure.M),
        Fact("Distance between fours", piece.pitch_m * 100, Measure.CM),
        Fact("Opening width", piece.opening_width_m, Measure.M),
        Fact("Opening height", piece.opening_height_m, Measure.M),
    )


def make_garland_sheet(build_input: BuildInput, build_place: BuildPlace, shop: Shop) -> BuildSheet:
    """Returns the build sheet of a garland. Raises CannotBuild if there is no latex with air."""
    found = _in_air(build_input)
    largest_group(found, NO_AIR.format("garland"))
    fullness = Fullness(str(build_input.build.figures["fullness"]))
    piece = garland(build_input.build.number("length_m"), fullness, shop.craft.garlands)
    names = colour_names(found)[:MOST_COLOURS]
    return BuildSheet(
        drawing=draw_garland(piece, max(len(names), 1), _colours_by_size(found, names)),
        balloons_used=found,
        colours=names,
        facts=(
            Fact("Fullness", f"{shop.craft.garlands.per_metre(fullness):g}\u00a0per m"),
            *(Fact(f"{size:g}\u00a0in balloons", str(count)) for size, count in piece.counts),
        ),
        cautions=_other_sizes(piece, found) if build_input.has_final_counts else (),
        steps=garland_steps(piece.length_m, _counts(found) if build_input.has_final_counts else piece.counts),
    )


def _colours_by_size(found: Sequence[BalloonGroup], names: Sequence[str]) -> dict[float, list[int]]:
    """Returns which colours the balloons of each nominal size have, in turn, by their place among the names."""
    by_size: dict[float, list[int]] = {}
    for group in found:
        taken = [names.index(name) for name in in_turn(group.colours) if name in names]
        by_size.setdefault(group.filling.balloon_type.nominal_in, []).extend(taken)
    return by_size


def _other_sizes(piece: Garland, found: Sequence[BalloonGroup]) -> tuple[str, ...]:
    """Returns a caution if the sizes that were counted are not those of the shop's mix."""
    counted = dict(_counts(found))
    taken = {size: count for size, count in piece.counts if count}
    if counted == taken:
        return ()
    return (f"Fill {_by_size(counted)}. By the shop's mix it would be {_by_size(taken)}.",)


def _counts(found: Sequence[BalloonGroup]) -> tuple[tuple[float, int], ...]:
    """Returns how many balloons there are of each nominal size, in inches."""
    counted: dict[float, int] = {}
    for group in found:
        size = group.filling.balloon_type.nominal_in
        counted[size] = counted.get(size, 0) + group.count
    return tuple(counted.items())


def _by_size(counts: Mapping[float, int]) -> str:
    """Returns the counts by size, in words."""
    return ", ".join(f"{count} of {size:g}\u00a0in" for size, count in sorted(counts.items()))


def make_stuffed_sheet(build_input: BuildInput, build_place: BuildPlace, shop: Shop) -> BuildSheet:
    """Returns the build sheet of a stuffed balloon. Raises CannotBuild if there is no balloon."""
    outer = build_input.outer
    if outer is None:
        raise CannotBuild("Add a balloon first.")
    inside = sum(group.count for group in build_input.balloons if group is not outer)
    small = colour_names([group for group in build_input.balloons if group is not outer]) or ("",)
    stuffing, unknown = _stuffing(build_input, outer, shop)
    largest = largest_item_in(outer.filling.balloon_type.nominal_in, shop.craft.stuffing)
    across = outer.filling.balloon_type.nominal_in * CM_PER_INCH
    return BuildSheet(
        drawing=draw_stuffed(stuffing, len(small)),
        balloons_used=build_input.balloons,
        colours=(stuffing.item, *small, outer.colours[0][0]),
        facts=(Fact("Largest item when pressed together", largest * CM_PER_INCH, Measure.CM),),
        required_weight=required_weight_of_all([outer], build_place, shop),
        cautions=(*unknown, *reasons_not_to_make(stuffing, shop.craft.stuffing)),
        steps=stuffed_steps(
            stuffing.gas,
            build_input.item_names,
            inside if build_input.has_final_counts or not inside else None,
        ),
        size_cm=(across, across),
    )


def _stuffing(build_input: BuildInput, outer: BalloonGroup, shop: Shop) -> tuple[Stuffing, tuple[str, ...]]:
    """Returns what is stuffed, and a sentence if the width of an item is unknown; such an item is assumed to just
    fit in."""
    balloon_type = outer.filling.balloon_type
    inside = [group for group in build_input.balloons if group is not outer]
    gases = {group.filling.gas for group in inside}
    inner = next(iter(gases - {outer.filling.gas}), outer.filling.gas)
    filler = Filler.BALLOONS if inside else Filler.NOTHING
    widths = [item.width_cm for item in build_input.items if item.width_cm]
    item_in = max(widths) / CM_PER_INCH if widths else largest_item_in(balloon_type.nominal_in, shop.craft.stuffing)
    name = " and ".join(item.name for item in build_input.items)
    unknown = ask_for_width(name) if len(widths) < len(build_input.items) else ""
    stuffing = Stuffing(balloon_type, Gas(outer.filling.gas), name, item_in, filler, inner)
    return stuffing, (unknown,) if unknown else ()


def ask_for_width(name: str) -> str:
    """Returns the caution about an item whose width nobody entered."""
    return f"Enter the width of the {name} when pressed together."


def _in_air(build_input: BuildInput) -> tuple[BalloonGroup, ...]:
    """Returns the balloons that are tied and filled with air."""
    return tuple(group for group in build_input.balloons if group.is_tied and not group.rises)


def _tied(pairs: int) -> tuple[Fact, ...]:
    """Returns the pairs to tie and the fours to twist them into."""
    fours = pairs // PAIRS_IN_A_FOUR
    return Fact("Tie", f"{pairs} pairs"), Fact("Twist into", "1 four" if fours == 1 else f"{fours} fours")


def _no_fours(group: BalloonGroup) -> tuple[str, ...]:
    """Returns a caution if the balloons do not tie into whole fours."""
    over = group.count % FOUR
    if not over:
        return ()
    fewer, more = group.count - over, group.count - over + FOUR
    take = f"{fewer} or {more}" if fewer else str(more)
    return (f"{group.count} × {group.filling.balloon_type.name} do not make whole fours: use {take}.",)


def _coloured(
    build_input: BuildInput, main: BalloonGroup, layers: int
) -> tuple[tuple[str, ...], Pattern, tuple[str, ...]]:
    """Returns the colours as drawn, the pattern in which they run, and cautions about what cannot be made so."""
    pattern, names = Pattern(str(build_input.build.figures["pattern"])), tuple(name for name, _ in main.colours)
    if pattern is Pattern.SPIRAL and len(names) > FOUR:
        return names[:MOST_COLOURS], Pattern.LAYERS, (describe_too_many_colours(len(names)),)
    taken = tuple(zip(names, colour_counts(layers, len(names), pattern), strict=True))
    if not build_input.has_final_counts or layers * FOUR != main.count or taken == main.colours:
        return names, pattern, ()
    return names, pattern, (describe_other_colours(pattern, taken, main.colours),)


def describe_too_many_colours(colours: int) -> str:
    """Returns the caution about more colours than a spiral can have."""
    return f"A spiral has at most {FOUR} colours. These {colours} are drawn in layers."


def describe_other_colours(
    pattern: Pattern, needed: Sequence[tuple[str, int]], there: Sequence[tuple[str, int]]
) -> str:
    """Returns the caution about colours that are not in the numbers that the pattern needs."""
    how = "A spiral" if pattern is Pattern.SPIRAL else "A pattern in layers"
    return f"{how} needs {_listed(needed)}, but there are {_listed(there)}."


def _listed(colours: Sequence[tuple[str, int]]) -> str:
    """Returns the counts by colour, in words."""
    return ", ".join(f"{count} {name}" for name, count in colours)
