"""JSON for hypothesis: whatever a JSON Schema describes, for the few keywords that the open quote uses."""

from hypothesis import strategies as st

ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=12), inner, max_size=3),
    max_leaves=8,
)


def described_by(schema):
    """A strategy for what the schema describes."""
    if "enum" in schema:
        return st.sampled_from(schema["enum"])
    kinds = schema["type"] if isinstance(schema["type"], list) else [schema["type"]]
    return st.one_of([_OF_KIND[kind](schema) for kind in kinds])


def _object(schema):
    fields = {name: described_by(field) for name, field in schema.get("properties", {}).items()}
    if not fields:
        return st.dictionaries(st.text(max_size=12), described_by(schema["additionalProperties"]), max_size=3)
    needed = schema["required"]
    if "oneOf" in schema:
        return st.one_of([_with(fields, [*needed, *one["required"]], schema["oneOf"]) for one in schema["oneOf"]])
    return _with(fields, needed, [])


def _with(fields, needed, choices):
    """Objects with the needed fields, and any others but those of which only one may be there."""
    either = {name for one in choices for name in one["required"]}
    optional = {name: field for name, field in fields.items() if name not in (*needed, *either)}
    return st.fixed_dictionaries({name: fields[name] for name in needed}, optional=optional)


_OF_KIND = {
    "null": lambda _schema: st.none(),
    "boolean": lambda _schema: st.booleans(),
    "integer": lambda schema: st.integers(schema.get("minimum"), schema.get("maximum")),
    "number": lambda schema: st.floats(schema["minimum"], schema["maximum"]),
    "string": lambda schema: st.from_regex(schema["pattern"]) if "pattern" in schema else st.text(max_size=20),
    "array": lambda schema: st.lists(
        described_by(schema["items"]), min_size=schema["minItems"], max_size=min(schema["maxItems"], 4)
    ),
    "object": _object,
}
