"""What is kept from one request to the next."""

from concurrent.futures import ThreadPoolExecutor
from threading import Event

from app.web.kept import Kept


def _always(_value):
    return True


def test_of_many_that_ask_at_once_one_makes_it():
    kept, made, may_go_on = Kept(2), [], Event()

    def make():
        made.append(1)
        assert may_go_on.wait(10)
        return "board"

    with ThreadPoolExecutor(4) as threads:
        asked = [threads.submit(kept.get_or_make, "today", _always, make, _always) for _ in range(4)]
        may_go_on.set()
    assert [one.result() for one in asked] == ["board"] * 4
    assert made == [1]


def test_what_is_no_longer_right_is_made_again_and_what_may_not_be_kept_is_not():
    kept = Kept(2)
    kept.put("today", "old")
    assert kept.get_or_make("today", lambda known: known == "new", lambda: "new", lambda _: False) == "new"
    assert kept.get("today") == "old"


def test_the_one_used_longest_ago_is_dropped():
    kept = Kept(2)
    for key in "ab":
        kept.put(key, key)
    kept.get("a")
    kept.put("c", "c")
    assert [kept.get(key) for key in "abc"] == ["a", None, "c"]
