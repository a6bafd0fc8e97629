"""The sentences of what went wrong."""

from app.web.wording.errors import STATUS_SENTENCES, UNEXPECTED_ERROR, changed_meanwhile, unknown_host


def test_an_unexpected_error_says_what_to_do():
    assert UNEXPECTED_ERROR == "Something went wrong. Check whether it was saved, then try again."


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
