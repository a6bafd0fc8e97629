"""The shop's own colours: how a balloon of that name looks here."""

import re
from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.errors import NotFound
from app.craft.colours import LONGEST_NAME
from app.quoting.colour_looks import colour_key
from app.quoting.errors import Problem, Refused
from app.quoting.states import Finish
from app.store.models import OwnColour

NAME_LENGTH = f"Enter a colour name of 1 to {LONGEST_NAME} letters."
NOT_A_COLOUR = "Enter a colour as # and six digits, for example #c8102e."
NOT_A_FINISH = "Choose how the balloon shines."
FINISHES = tuple(finish for finish in Finish if finish is not Finish.UNKNOWN)
_FILL = re.compile("#[0-9a-f]{6}")


def own_colours(session: Session) -> Sequence[OwnColour]:
    """Returns the shop's own colours, by name."""
    return session.scalars(select(OwnColour).order_by(OwnColour.key)).all()


def save_own_colour(session: Session, name: str, fill: str, finish: str) -> OwnColour:
    """Saves how a balloon of this colour looks, and returns it. A name that is there already gets the new look.
    Raises Refused with a problem at each wrong field."""
    name, fill = " ".join(name.split()), fill.strip().lower()
    problems = []
    if not (colour_key(name) and len(name) <= LONGEST_NAME):
        problems.append(Problem("name", NAME_LENGTH))
    if not _FILL.fullmatch(fill):
        problems.append(Problem("fill", NOT_A_COLOUR))
    if finish not in FINISHES:
        problems.append(Problem("finish", NOT_A_FINISH))
    if problems:
        raise Refused(*problems)
    row = session.merge(OwnColour(key=colour_key(name), name=name, fill=fill, finish=Finish(finish)))
    session.flush()
    return row


def delete_own_colour(session: Session, key: str) -> str:
    """Deletes the shop's own colour, and returns its name. Raises NotFound."""
    row = session.get(OwnColour, key)
    if row is None:
        raise NotFound("This colour does not exist.")
    session.delete(row)
    session.flush()
    return row.name
