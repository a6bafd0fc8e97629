"""What the open quote takes and gives, as OpenAPI 3.1 and JSON Schema 2020-12 describe it."""

from collections.abc import Iterable
from typing import Any

from app.physics.balloon import Gas
from app.physics.light import Surroundings
from app.places.counter.open_request import (
    CELSIUS,
    ELEVATION_M,
    MOST_BALLOONS,
    MOST_LINES,
    MOST_MINUTES,
    MOST_WIND_M_S,
    WAYS,
)
from app.planning.window import Limit
from app.quoting.settings.all_settings import CURRENCIES

Schema = dict[str, Any]

ALTERNATIVES = (
    *("treat", "later", "later_part", "larger", "foil", "sphere"),
    *("air", "venue", "shade", "indoors", "two"),
)
TEXT: Schema = {"type": "string"}
FLAG: Schema = {"type": "boolean"}
COUNT: Schema = {"type": "integer", "minimum": 0}
MINOR: Schema = {"type": "integer", "description": "In minor units of the currency."}
CHANCE: Schema = {"type": "number", "minimum": 0, "maximum": 1}
VERDICT: Schema = {"enum": ["safe", "risky", "wont_last"]}
UTC_OR_NONE: Schema = {
    "type": ["string", "null"],
    "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z$",
    "description": "A moment in UTC.",
}
LOCAL_TIME: Schema = {
    "type": "string",
    "pattern": r"^20[0-9]{2}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(:[0-9]{2})?(Z|[+-][0-9]{2}:[0-9]{2})?$",
    "description": "A local time of the shop, 2027-03-27T18:00, with its offset where the clocks show it twice.",
}


def _object(fields: Schema, optional: Iterable[str] = (), **more: Any) -> Schema:
    """Returns the schema of an object that has these fields and no others."""
    left_out = set(optional)
    required = [name for name in fields if name not in left_out]
    return {
        "type": "object",
        "properties": fields,
        "required": required,
        "additionalProperties": False,
        **more,
    }


def _list(items: Schema, **more: Any) -> Schema:
    return {"type": "array", "items": items, **more}


def _or_none(low: float, high: float, kind: str = "number") -> Schema:
    """Returns the schema of a number from low to high that may be missing."""
    return {"type": [kind, "null"], "minimum": low, "maximum": high}


LINE = _object(
    {
        "kind": {"type": "string", "description": "The name of a balloon type of the shop."},
        "design": {"type": "string", "description": "The name of a design of the shop."},
        "quantity": {"type": "integer", "minimum": 1, "maximum": MOST_BALLOONS},
        "colours": {
            "type": ["object", "null"],
            "additionalProperties": {"type": "integer", "minimum": 1, "maximum": MOST_BALLOONS},
            "description": "How many of each colour; of a balloon type they add up to the quantity.",
        },
        "gas": {"enum": [*Gas, None]},
        "treated": {"type": ["boolean", "null"]},
    },
    optional=("kind", "design", "colours", "gas", "treated"),
    oneOf=[{"required": ["kind"]}, {"required": ["design"]}],
)
REQUEST = _object(
    {
        "event": _object(
            {
                "starts": LOCAL_TIME,
                "ends": LOCAL_TIME,
                "where": {"enum": [*Surroundings, None]},
                "celsius": _or_none(*CELSIUS),
                "elevation_m": _or_none(*ELEVATION_M),
                "wind_m_s": _or_none(0, MOST_WIND_M_S),
            },
            optional=("where", "celsius", "elevation_m", "wind_m_s"),
        ),
        "hand_over": _object(
            {
                "how": {"enum": [*WAYS]},
                "at": LOCAL_TIME,
                "travel_minutes": _or_none(0, MOST_MINUTES, "integer"),
            },
            optional=("travel_minutes",),
        ),
        "lines": _list(LINE, minItems=1, maxItems=MOST_LINES),
    }
)
WINDOW: Schema = {
    "not_before": UTC_OR_NONE,
    "inflate_by": {**UTC_OR_NONE, "description": "The latest start on the shared bench; null if there is none."},
    "chance": CHANCE,
}
BATCH = _object(
    {
        "kind": TEXT,
        "quantity": {"type": "integer", "minimum": 1},
        "fill_size_in": {"type": "number", "exclusiveMinimum": 0},
        "gas": {"enum": [*Gas]},
        "treated": FLAG,
        "load_g": {"type": "number", "minimum": 0, "description": "What hangs on each, without its treatment."},
        **WINDOW,
        "at_least": {"type": "integer", "minimum": 1},
        "of": {"type": "integer", "minimum": 1},
        "reasons": _list({"enum": [*Limit]}, description="Why it is not safe, the worst first."),
    }
)
ALTERNATIVE = _object(
    {
        "way": {"enum": [*ALTERNATIVES]},
        "title": TEXT,
        "extra_minor": MINOR,
        **WINDOW,
        "verdict": VERDICT,
        "can_make": FLAG,
    }
)
PROBLEM = _object({"field": TEXT, "sentence": TEXT})
ANSWER = _object(
    {
        "verdict": {**VERDICT, "description": "Whether the balloons float until the event ends."},
        "can_make": {**FLAG, "description": "Whether the bench can have it ready in time and nothing is short."},
        "total_minor": MINOR,
        "currency": {"enum": [*CURRENCIES]},
        "lines": _list(
            _object(
                {
                    "title": TEXT,
                    "verdict": VERDICT,
                    "total_minor": MINOR,
                    "batches": _list(BATCH),
                    "alternatives": _list(ALTERNATIVE),
                }
            )
        ),
        "bench": _object({"fits": FLAG, "short_seconds": COUNT, "first_ready": UTC_OR_NONE}),
        "stock": _list(_object({"item": TEXT, "short": {"type": "number", "exclusiveMinimum": 0}})),
        "problems": _list(PROBLEM, maxItems=0),
    }
)
PROBLEMS = _object({"error": TEXT, "problems": _list(PROBLEM, minItems=1)}, optional=("error",))


def _response(text: str, name: str) -> Schema:
    return {
        "description": text,
        "content": {"application/json": {"schema": {"$ref": f"#/components/schemas/{name}"}}},
    }


DESCRIPTION: Schema = {
    "openapi": "3.1.0",
    "info": {
        "title": "Stillaloft's open quote",
        "version": "1",
        "description": "Whether balloons float until an event ends, whether the shop can make them, and the price.",
    },
    "paths": {
        "/quote.json": {
            "post": {
                "operationId": "quote",
                "summary": "Ask for a quote. Nothing is saved. Only this machine may ask.",
                "requestBody": {
                    "required": True,
                    "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Request"}}},
                },
                "responses": {
                    "200": _response("The quote.", "Answer"),
                    "400": _response("What was sent cannot be read as JSON.", "Problems"),
                    "403": _response("Another machine or another site asked.", "Problems"),
                    "413": _response("Too much was sent.", "Problems"),
                    "415": _response("What was sent is not application/json.", "Problems"),
                    "422": _response("Something in it is unknown or impossible.", "Problems"),
                },
            }
        }
    },
    "components": {"schemas": {"Request": REQUEST, "Answer": ANSWER, "Problems": PROBLEMS}},
}
