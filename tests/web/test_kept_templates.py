"""Compiled templates are kept beside their sources, and are never shown in place of a changed one."""

import sys

import pytest
from jinja2 import Environment, FileSystemLoader

from app.web.kept_templates import KeptTemplates


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    monkeypatch.setattr(sys, "pycache_prefix", None)
    (tmp_path / "page.html").write_text("{{ 1 + 1 }}")
    return tmp_path


def _show(folder):
    """What a program shows that was started just now."""
    return (
        Environment(loader=FileSystemLoader(folder), bytecode_cache=KeptTemplates(folder))
        .get_template("page.html")
        .render()
    )


def _kept(folder):
    return sorted((folder / "__pycache__").glob("*"))


def test_a_template_is_compiled_once(folder, monkeypatch):
    assert _show(folder) == "2"
    assert len(_kept(folder)) == 1
    monkeypatch.setattr(Environment, "compile", lambda *_, **__: pytest.fail("compiled again"))
    assert _show(folder) == "2"


def test_a_changed_template_is_shown_as_it_is_now(folder):
    _show(folder)
    (folder / "page.html").write_text("{{ 1 + 2 }}")
    assert _show(folder) == "3"
    assert _show(folder) == "3"


@pytest.mark.parametrize("left", [0, 10, -5])
def test_a_damaged_file_is_replaced(folder, left):
    _show(folder)
    (file,) = _kept(folder)
    whole = file.read_bytes()
    file.write_bytes(whole[:left])
    assert _show(folder) == "2"
    assert file.read_bytes() == whole


def test_where_python_keeps_nothing_no_template_is_kept(folder, monkeypatch):
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    assert _show(folder) == "2"
    assert not (folder / "__pycache__").exists()


def test_a_folder_that_cannot_be_written_is_no_hindrance(folder):
    (folder / "__pycache__").write_text("a file is in the way")
    assert _show(folder) == "2"
