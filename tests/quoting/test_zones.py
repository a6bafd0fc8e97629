"""A time zone as it is typed. The names are those of the IANA time zone database."""

import pytest

from app.quoting.settings.zones import CHOOSE_ZONE, all_zones, find_zone, offered_zones


@pytest.mark.parametrize(
    ("typed", "zone"),
    [
        *(
            ("Europe/London", "Europe/London"),
            ("america/new york", "America/New_York"),
            ("utc", "UTC"),
            ("GMT", "GMT"),
        ),
        *(("London", "Europe/London"), ("new york", "America/New_York"), ("Denver", "America/Denver")),
    ],
)
def test_a_zone_is_found_by_its_name_or_its_city_however_its_letters_are_written(typed, zone):
    assert find_zone(typed) == zone


@pytest.mark.parametrize(
    ("typed", "nearest"),
    [
        ("Europe/Londn", "Europe/London"),
        ("Berln", "Europe/Berlin"),
        ("new yrok", "America/New_York"),
    ],
)
def test_an_unknown_one_is_named_with_the_nearest(typed, nearest):
    with pytest.raises(ValueError, match=nearest) as wrong:
        find_zone(typed)
    assert f"“{typed}”" in str(wrong.value)


@pytest.mark.parametrize("typed", ["", "Mars/Olympus Mons", "…"])
def test_far_from_every_zone_the_list_is_named(typed):
    with pytest.raises(ValueError, match=CHOOSE_ZONE):
        find_zone(typed)


def test_what_is_offered_can_be_saved():
    assert set(offered_zones()) <= all_zones()
    assert {"Europe/London", "America/Denver", "UTC"} <= set(offered_zones())
