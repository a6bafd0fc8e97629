"""Which batches share a setting of the sizer."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from app.craft.sizing import SizerBatch, shared_settings
from app.physics.balloon import Gas

TEN = datetime(2026, 11, 21, 10, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


def _sized(key, inches=9.0, left=6, by=0, gas=Gas.AIR, **changes):
    wanted = {"point": gas.value, "started": False, "earliest": None, "inflate_by": TEN + by * HOUR}
    return SizerBatch(key=key, gas=gas, inches=inches, left=left, **(wanted | changes))


def test_alike_batches_of_several_orders_stand_together_by_their_hour():
    (setting,) = shared_settings([_sized("14-2", left=24, by=2), _sized("12-1", by=1), _sized("13-1", 11)])
    assert [batch.key for batch in setting.batches] == ["12-1", "14-2"]
    assert (setting.inches, setting.gas, setting.left) == (9.0, Gas.AIR, 30)


def test_another_gas_size_or_filling_point_is_another_setting():
    others = [_sized("2-1", gas=Gas.HELIUM), _sized("3-1", 9.25), _sized("4-1", point="stuffing")]
    assert shared_settings([_sized("1-1"), *others]) == []


def test_what_is_filled_shares_nothing_any_more():
    assert shared_settings([_sized("1-1"), _sized("2-1", left=0)]) == []


def test_settings_are_sorted_by_their_earliest_hour():
    later, sooner = [_sized("1-1", by=1), _sized("2-1", by=5)], [_sized("3-1", 11, by=0), _sized("4-1", 11, by=9)]
    assert [setting.inches for setting in shared_settings(later + sooner)] == [11, 9.0]


def test_all_may_be_begun_from_the_latest_earliest_to_the_earliest_latest():
    batches = [_sized("1-1", by=3, earliest=TEN), _sized("2-1", by=4, earliest=TEN + HOUR), _sized("3-1", by=5)]
    assert shared_settings(batches)[0].common_start_window == (TEN + HOUR, TEN + 3 * HOUR)
    assert shared_settings([*batches[2:], _sized("4-1", by=9)])[0].common_start_window == (None, TEN + 5 * HOUR)


def test_what_is_begun_sets_no_hours_for_the_others():
    started = _sized("1-1", by=0, earliest=TEN + 8 * HOUR, started=True)
    assert shared_settings([started, _sized("2-1", by=3)])[0].common_start_window == (None, TEN + 3 * HOUR)
    assert shared_settings([started, _sized("2-1", started=True)])[0].common_start_window is None


_batches = st.lists(
    st.builds(
        _sized,
        st.uuids().map(str),
        inches=st.sampled_from([9.0, 9.25, 11.0]),
        left=st.integers(0, 30),
        by=st.integers(0, 9),
        gas=st.sampled_from(Gas),
        started=st.booleans(),
    ),
    max_size=12,
)


@given(_batches)
def test_every_pair_that_is_alike_stands_together_and_no_other(batches):
    together = {frozenset(batch.key for batch in setting.batches) for setting in shared_settings(batches)}
    for one in batches:
        mates = {
            two.key for two in batches if one.left and two.left and (two.gas, two.inches) == (one.gas, one.inches)
        }
        assert (frozenset(mates) in together) == (len(mates) > 1)
    assert sum(len(keys) for keys in together) == len({key for keys in together for key in keys})
