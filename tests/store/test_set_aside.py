"""A database file that somebody wants out of the way: renamed with all that belongs to it."""

from app.store.migrate import set_database_aside


def test_a_second_one_gets_the_next_free_name(tmp_path):
    names = []
    for content in ("one", "two"):
        (tmp_path / "shop.sqlite").write_text(content)
        names.append(set_database_aside(f"sqlite:///{tmp_path / 'shop.sqlite'}", "not-known"))
    assert [(name.name, name.read_text()) for name in names] == [
        ("shop.sqlite.not-known", "one"),
        ("shop.sqlite.not-known-1", "two"),
    ]


def test_without_a_file_nothing_is_set_aside(tmp_path):
    assert set_database_aside(f"sqlite:///{tmp_path / 'shop.sqlite'}", "not-known") is None
