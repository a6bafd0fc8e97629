"""Designs that say how they are put together, and supplies to go with them."""

from app.actions.crafted_lines import crafted_lines
from app.actions.office import add_design
from app.actions.shop import load_goods, load_shop
from app.craft.build import Build, write_build
from app.physics.balloon import Gas
from app.store.models import DesignSupply, Supply
from tests.actions.builders import design_line, kind_id, take, wish

UP, AIR = Gas.HELIUM, Gas.AIR


def supply(session, name, sort, **figures):
    """One piece of it in the shop."""
    row = Supply(name=name, sort=sort, unit="piece", pack_size=1, pack_minor=0, deposit_minor=0, **figures)
    session.add(row)
    session.flush()
    return row


def design(session, form, parts, figures=None, supplies=(), steps=(), name="Piece"):
    """parts: (kind's name, gas, how many[, colours]). supplies: (row, how many)."""
    goods = load_goods(session)
    rows = [
        (goods.kinds[kind_id(goods, kind)], gas, count, [list(one) for one in colours])
        for kind, gas, count, *rest in parts
        for colours in (rest or [()])
    ]
    made = add_design(session, name, 2600, 5, rows)
    made.build, made.steps = write_build(Build(form, figures or {})), list(steps)
    for place, (row, count) in enumerate(supplies):
        made.supplies.append(DesignSupply(position=place, supply_id=row.id, quantity=count))
    session.flush()
    return made


def order_of(session, made, quantity=1, colours="red", **changes):
    goods = load_goods(session)
    line = design_line(made, quantity, colours=colours, **changes.pop("line", {}))
    return take(session, wish(goods, line, **changes), key=f"{made.name} {quantity}")


def crafted(session, made, quantity=1, **changes):
    """The one line of an order of it, as it is put together; None where it is not."""
    order = order_of(session, made, quantity, **changes)
    lines = crafted_lines(order, load_shop(session), load_goods(session))
    return lines[0].crafted if lines else None


def fact(made, label):
    return next(fact.value for fact in made.facts if fact.label == label)
