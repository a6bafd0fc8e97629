"""The balloon types, supplies and opening hours that a new shop starts with, all there to be corrected."""

import secrets

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.catalogue.supplies import SupplyFigures, add_supply
from app.actions.shop.office import change_week
from app.physics.material import Material
from app.quoting.states import SupplySort
from app.store.models import BalloonTypeRow, SettingRow

LATEX_GRAMS = {5: 0.8, 9: 2.0, 10: 2.4, 11: 3.0, 12: 3.2, 16: 8.5, 18: 11.0, 24: 22.0, 36: 60.0}
"""Grams of rubber in a latex balloon by nominal inches; from memory: weigh ten of each."""

SIZE_FACTORS = {24: 0.75, 36: 0.55}
"""The factor that brings large latex to the float time known in the trade; from memory."""

FOILS_AND_SPHERES = (
    # name, material, nominal in, film g, helium L, median hours, air only
    ("9 in foil", Material.FOIL, 9, 4.0, None, None, True),
    ("18 in foil", Material.FOIL, 18, 10.0, 14.0, 240.0, False),
    ("22 in foil", Material.FOIL, 22, 14.0, 20.0, 240.0, False),
    ("36 in jumbo foil", Material.FOIL, 36, 27.0, 76.0, 336.0, False),
    ("20 in sphere", Material.SPHERE, 20, 10.0, 20.0, 408.0, False),
    ("22 in sphere", Material.SPHERE, 22, 15.0, 28.0, 408.0, False),
)
"""Common practice and memory; see the README."""

SUPPLIES: tuple[tuple[str, SupplySort, float, float | None, float | None], ...] = (
    # name, sort, pack size, grams of one, cm wide
    ("Weight 15 g", SupplySort.WEIGHT, 10, 15, None),
    ("Weight 80 g", SupplySort.WEIGHT, 10, 80, None),
    ("Weight 170 g", SupplySort.WEIGHT, 6, 170, None),
    ("Weight 500 g", SupplySort.WEIGHT, 1, 500, None),
    ("Curling ribbon 5 mm", SupplySort.RIBBON, 450, 0.5, None),
    ("Carrying bag 60 cm", SupplySort.BAG, 25, None, 60),
    ("Carrying bag 90 cm", SupplySort.BAG, 25, None, 90),
    ("Carrying bag 120 cm", SupplySort.BAG, 25, None, 120),
    ("Treatment, bottle of 700 mL", SupplySort.TREATMENT, 700, None, None),
    ("Modelling balloon 2 × 60 in", SupplySort.MODELLING, 100, None, None),
    ("Column pole with base", SupplySort.RENTAL, 1, None, None),
    ("Arch frame", SupplySort.RENTAL, 1, None, None),
)
"""Common practice and memory; costs and security deposits are 0 until the shop enters them. The
ribbon: polypropylene of
0.9 g/cm³, 5 mm wide and 0.11 mm thick (the thickness from memory)."""

EIGHT_TO_SIX = (8 * 60, 18 * 60)


def fill_new_shop(session: Session) -> bool:
    """Fills the catalogue of a shop that has none. Returns whether it did."""
    if session.scalar(select(BalloonTypeRow.id).limit(1)) is not None:
        return False
    for inches, grams in LATEX_GRAMS.items():
        session.add(_balloon_type(f"{inches} in latex", Material.LATEX, inches, grams))
    session.add(_balloon_type("18 in clear stuffing latex", Material.LATEX, 18, 11.0, air_only=True))
    for name, material, inches, grams, litres, hours, air_only in FOILS_AND_SPHERES:
        row = _balloon_type(name, material, inches, grams, air_only=air_only)
        row.helium_l, row.median_hours = litres, hours
        if material.traits.takes_own and not air_only:
            row.fill_minor = row.price_minor
        if material.traits.can_be_topped_up and not air_only:
            row.top_up_minor = row.price_minor
        session.add(row)
    for label, sort, pack, weighs, wide in SUPPLIES:
        add_supply(session, SupplyFigures(label, sort, sort.unit, pack, 0, grams=weighs, width_cm=wide))
    change_week(session, dict.fromkeys(range(7), EIGHT_TO_SIX))
    return True


def _balloon_type(
    name: str, material: Material, inches: float, grams: float, *, air_only: bool = False
) -> BalloonTypeRow:
    """Returns the row of a balloon type. inches: nominal size. grams: of one balloon."""
    return BalloonTypeRow(
        name=name,
        material=material,
        nominal_in=inches,
        mass_g=grams,
        size_factor=SIZE_FACTORS.get(int(inches), 1.0),
        air_only=air_only,
        price_minor=0,
    )


def session_secret(session: Session) -> str:
    """Returns the key that signs the browsers' cookies; it is made once for each shop."""
    row = session.get(SettingRow, "session_secret")
    if row is None:
        row = SettingRow(key="session_secret", value=secrets.token_urlsafe(32))
        session.add(row)
    return str(row.value)
