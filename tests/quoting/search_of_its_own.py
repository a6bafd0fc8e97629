"""A search for what makes a line safe that shares nothing with the app's: it builds every request by itself and
asks for its quote. Slow, and the same for loose balloons and designs."""

from dataclasses import replace
from datetime import timedelta
from itertools import product

from app.physics.balloon import Gas
from app.physics.light import Surroundings
from app.planning.window import Verdict, worst
from app.quoting.errors import Refused
from app.quoting.request import HandOver, PartSwap

TAKES_OTHERS = {"loose", "bouquet", "strings", "strung"}
PAIRED = ("treat", "larger", "foil", "sphere", "shade", "indoors")


def verdict_of(quote, place):
    return worst(batch.window.verdict for batch in quote.batches if batch.fill.spec in quote.lines[place].parts)


def is_cured(quote, wanted, place, ask):
    """Safe, with no other line the worse for it, and nothing to be done before now, or before a crew is let in."""
    try:
        better = ask(wanted)
    except Refused:
        return False
    ranks = [verdict_of(quote, n).rank - verdict_of(better, n).rank for n in range(len(quote.lines)) if n != place]
    mine = [batch for batch in better.batches if batch.fill.spec in better.lines[place].parts]
    return (
        verdict_of(better, place) is Verdict.SAFE
        and all(gained >= 0 for gained in ranks)
        and all(batch.window.inflate_by >= ask.now for batch in mine)
        and all(at >= ask.now for at in (wanted.ready_by, wanted.arrives_at, wanted.later_at) if at)
        and (wanted.hand_over is not HandOver.VENUE or better.first_fill_by >= _set_up(wanted))
    )


def _set_up(wanted):
    return wanted.arrives_at + timedelta(minutes=wanted.set_up_minutes)


def every_request(wanted, place, catalogue):
    """The requests of each way alone, by its name."""
    types = catalogue.balloon_types
    hours = list(_later_hours(wanted))
    line = wanted.lines[place]

    def larger(own, gas):
        if gas == "helium":
            yield from (row.id for row in _of(own.material, gas) if row.nominal_in > own.nominal_in)

    def only(new):
        return lambda own, gas: [new.id] if own.material != new.material and new in _of(new.material, gas) else []

    def _of(material, gas):
        rows = [row for row in types.values() if row.material == material and row.archived_at is None]
        return [row for row in rows if gas == "air" or not row.air_only]

    def of_material(material):
        for new in _of(material, "air"):
            yield from _other_balloons(wanted, place, catalogue, only(new), treated=False)
            if line.treated and line.design_id is not None:
                yield from _other_balloons(wanted, place, catalogue, only(new), treated=True)

    return {
        "treat": [_line(wanted, place, treated=True)] if line.gas is Gas.HELIUM and not line.treated else [],
        "later": [_moved(wanted, hour) for hour in hours],
        "later_part": [
            replace(_line(wanted, place, later=True), later_at=hour)
            for hour in hours
            if not line.later or hour > wanted.later_at
        ],
        "venue": _at_the_venue(wanted),
        "shade": [_there(wanted, Surroundings.SHADE)] if wanted.surroundings is Surroundings.SUN else [],
        "indoors": [_there(wanted, Surroundings.INDOORS)] if wanted.surroundings.outdoors else [],
        "larger": list(_other_balloons(wanted, place, catalogue, larger, treated=line.treated)),
        "foil": list(of_material("foil")),
        "sphere": list(of_material("sphere")),
        "air": list(_in_air(wanted, place, catalogue)),
    }


def every_pair(wanted, place, catalogue):
    """The requests of two ways together, by their names: of the later hours only the last ones, which are the
    best."""
    alone = every_request(wanted, place, catalogue)
    for name in PAIRED:
        for first in alone[name]:
            for other, requests in every_request(first, place, catalogue).items():
                if other not in ("venue", "air", name):
                    for both in requests[-3:] if other.startswith("later") else requests:
                        yield frozenset((name, other)), both


def _line(wanted, place, **changes):
    lines = list(wanted.lines)
    lines[place] = replace(lines[place], **changes)
    return replace(wanted, lines=tuple(lines))


def _there(wanted, surroundings):
    """A warmth typed for the garden holds indoors only if it is more than the 20 °C of a room."""
    cold = surroundings is Surroundings.INDOORS and (wanted.venue_celsius or 0) < 20
    return replace(wanted, surroundings=surroundings, venue_celsius=None if cold else wanted.venue_celsius)


def _other_balloons(wanted, place, catalogue, others, *, treated):
    """Every choice of other balloons for the parts of the line; each part may also stay as it is."""
    line, types = wanted.lines[place], catalogue.balloon_types
    if line.design_id is None:
        for key in others(types[line.balloon_type_id], line.gas):
            yield _line(wanted, place, balloon_type_id=key, treated=treated)
        return
    design = catalogue.designs[line.design_id]
    if design.build.get("form", "loose") not in TAKES_OTHERS:
        return
    now = {(swap.was, swap.gas): swap.now for swap in line.swaps}
    has = [
        (part.balloon_type_id, now.get((part.balloon_type_id, part.gas), part.balloon_type_id), part.gas)
        for part in design.parts
    ]
    for chosen in product(*([own, *others(types[own], gas)] for _, own, gas in has)):
        swaps = {PartSwap(was, new, gas) for (was, _, gas), new in zip(has, chosen, strict=True) if was != new}
        if swaps != set(line.swaps):
            yield _line(wanted, place, swaps=tuple(swaps), treated=treated)


def _in_air(wanted, place, catalogue):
    line = wanted.lines[place]
    if line.design_id is None:
        if line.gas is Gas.HELIUM:
            yield _line(wanted, place, gas=Gas.AIR, treated=False)
        return
    design = catalogue.designs[line.design_id]
    up = {part.balloon_type_id for part in design.parts if part.gas == "helium"}
    if up and design.build.get("form", "loose") in TAKES_OTHERS - {"strung"}:
        swaps = tuple(PartSwap(key, key, Gas.AIR) for key in up)
        yield _line(wanted, place, swaps=swaps, treated=False)


def _later_hours(wanted):
    """Every quarter at which the shop is open, up to the event's start, or to the end where nobody said one."""
    latest = wanted.event_start or wanted.lasts_until
    travel = timedelta(minutes=wanted.travel_minutes)
    if wanted.hand_over is HandOver.VENUE:
        return
    for n in range(1, 4 * 24 * 2):
        hour = wanted.ready_by + timedelta(minutes=15 * n)
        if hour + travel <= latest and 8 * 60 < hour.hour * 60 + hour.minute <= 18 * 60:
            yield hour


def _moved(wanted, hour):
    arrives = hour + timedelta(minutes=wanted.travel_minutes) if wanted.arrives_at else None
    if wanted.later_at and wanted.later_at > hour:
        return replace(wanted, ready_by=hour, arrives_at=arrives)
    together = tuple(replace(line, later=False) for line in wanted.lines)
    return replace(wanted, ready_by=hour, arrives_at=arrives, later_at=None, lines=together)


def _at_the_venue(wanted):
    starts = wanted.event_start
    return [_let_in(wanted, starts - timedelta(minutes=15 * n)) for n in range(24)] if starts else []


def _let_in(wanted, hour):
    """As the shop's settings have it: half an hour of hanging, twenty minutes of setting up, and half an hour of
    travel where nobody said."""
    travel = wanted.travel_minutes or 30
    return replace(
        wanted,
        lines=tuple(replace(line, later=False) for line in wanted.lines),
        later_at=None,
        hand_over=HandOver.VENUE,
        ready_by=hour - timedelta(minutes=travel),
        arrives_at=hour,
        travel_minutes=travel,
        set_up_minutes=20,
        hanging_minutes=30,
        crew=2,
    )
