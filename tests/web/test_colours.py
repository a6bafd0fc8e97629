import pytest

from app.web.colours import colours_in


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("red", [("red", "red")]),
        ("12 red, 12 white", [("12 red", "red"), (", ", ""), ("12 white", "white")]),
        (
            "12× rose gold and 3 xanthic",
            [("12× rose gold", "rose gold"), (" and ", ""), ("3 xanthic", "xanthic")],
        ),
        ("sand & ivory", [("sand", "sand"), (" & ", ""), ("ivory", "ivory")]),
        ("", []),
    ],
)
def test_typed_colours_come_apart_into_pieces_that_make_the_same_text_again(text, pieces):
    assert colours_in(text) == pieces
    assert "".join(piece for piece, _ in pieces) == text
