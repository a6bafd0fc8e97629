"""Shops with which many tests of a file begin: what comes first is done once, and its file is copied for each."""

import pytest


def begins_with(name, begin):
    """The fixture `template` of a test file: the tests that ask for the fixture of that name have the shop that
    begin(database) leaves."""

    @pytest.fixture
    def template(request, template, started):
        return started(begin) if name in request.fixturenames else template

    return template


def begins_with_presses(name, begin):
    """The same of begin(client), which presses what somebody presses in a browser."""

    @pytest.fixture
    def template(request, template, started):
        if name not in request.fixturenames:
            return template
        return started(begin, request.getfixturevalue("begin_with_client"))

    return template
