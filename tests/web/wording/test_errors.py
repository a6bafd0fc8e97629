"""The sentences of what went wrong."""

from app.store.sentences import NOT_KNOWN_IF_SAVED, not_ours
from app.web.wording.errors import (
    LOOK_FIRST,
    PRESS_AGAIN,
    STATUS_SENTENCES,
    UNEXPECTED_ERROR,
    changed_meanwhile,
    tell_number,
    unknown_host,
)


def test_an_unexpected_error_says_what_to_do():
    assert UNEXPECTED_ERROR == "Something went wrong. Check whether it was saved, then try again."


def test_an_error_with_a_number_asks_for_the_number():
    assert tell_number("1a2b3c4d") == "Tell us this number: 1a2b3c4d."


def test_a_save_that_may_have_failed_says_whether_to_press_again():
    assert f"{NOT_KNOWN_IF_SAVED} {PRESS_AGAIN}" == (
        "The database failed during the save. It is not known whether it was saved. It is safe to press again."
    )
    assert LOOK_FIRST == "Check whether it was saved before you press again."


def test_a_database_that_is_not_ours_says_what_to_do():
    assert not_ours(True, "shop.sqlite") == (
        "shop.sqlite was written by a newer version of Stillaloft. Install that version. Nothing in it was changed."
    )
    assert not_ours(False, "shop.sqlite") == (
        "shop.sqlite belongs to another program. Nothing in it was changed. "
        "Set DATABASE_URL to the shop's own database, or to a new one."
    )


def test_each_status_has_what_is_wrong_and_what_may_help():
    assert STATUS_SENTENCES[404] == "This page does not exist. The link may be old or mistyped."
    assert STATUS_SENTENCES[405] == "This page cannot be used like that. Go back and use its buttons."
    assert STATUS_SENTENCES[413] == "That is more than a form can hold. Go back: what you typed is still there."


def test_an_unknown_name_says_how_to_make_it_known():
    assert unknown_host("tablet.test") == (
        "This server does not know the name tablet.test. Start it again with STILLALOFT_HOSTS=tablet.test."
    )


def test_a_change_names_each_person_once():
    assert changed_meanwhile(["Isolde", "Maren", "Isolde"], 1007) == (
        "Isolde, Maren changed order 1007 while you had it open. Open it again, then go on."
    )
    assert changed_meanwhile([], 1007).startswith("Somebody changed order 1007 ")
