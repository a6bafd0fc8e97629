"""From the last fill to the door: what is ticked on the way, in any order, and undone."""

import pytest
from sqlalchemy import select

from app.actions.errors import NotFound
from app.actions.orders.concerns import ConcernKind, StepAsked
from app.actions.orders.hand_over import steps_of, take_step, undo_step
from app.actions.records.history import history_of
from app.quoting.errors import Refused
from app.quoting.states import HandOverStep
from app.store.models import Tap
from tests.actions.builders import ANYWAY, at, change, ctx, line, order_request, problems, take, tap

UNTREATED = ["assembled", "weighted", "bagged", "ready", "caution given", "handed over"]


def _filled(session, catalogue, *lines, key="key-1"):
    order = take(session, order_request(catalogue, *lines), key=key)
    for batch in order.batches:
        tap(session, batch, "finish", now=at(8))
    return order


def _step(session, order, step, now=None, key=None):
    return take_step(
        ctx(session, who="Isolde", now=now or at(9)),
        order.number,
        HandOverStep(step),
        key or f"{order.number} {step} {now}",
        sure=ANYWAY,
    )


def _tap_of(session, step):
    return session.scalars(select(Tap).where(Tap.act == step).order_by(Tap.id.desc())).first()


def test_the_steps_lead_to_the_door_and_close_the_order(session, catalogue):
    order = _filled(session, catalogue)
    for step in UNTREATED:
        _step(session, order, step)
    assert (order.state, order.handed_over_at) == ("handed over", at(9))
    assert history_of(session, order)[-1].act == "handed over"


def test_an_order_has_the_steps_that_apply_to_it():
    assert steps_of(treated=True) == ["dry", *UNTREATED]
    assert steps_of(treated=False) == UNTREATED
    assert steps_of(treated=False, assembled=False, weighted=False) == ["bagged", *UNTREATED[3:]]
    there = steps_of(treated=False, at_venue=True)
    assert there == ["packed", *[step for step in UNTREATED if step != "bagged"]]


def test_steps_are_ticked_in_any_order(session, catalogue):
    order = _filled(session, catalogue, line(catalogue, treated=True))
    for step in (*reversed(UNTREATED[:-1]), "dry", "handed over"):
        _step(session, order, step)
    assert order.state == "handed over"
    taps = session.scalars(select(Tap).where(Tap.batch_id.is_(None)).order_by(Tap.id)).all()
    assert [one.act for one in taps] == [*reversed(UNTREATED[:-1]), "dry", "handed over"]
    assert {(one.who, one.at) for one in taps} == {("Isolde", at(9))}


def test_what_leaves_is_ready_also_if_nobody_ticked_it(session, catalogue):
    """Or the bench would go on planning its finishing."""
    order = _filled(session, catalogue)
    for _ in range(2):
        _step(session, order, "handed over", key="once")
    taps = session.scalars(select(Tap).where(Tap.batch_id.is_(None)).order_by(Tap.id)).all()
    assert [one.act for one in taps] == ["ready", "handed over"]
    undo_step(ctx(session, now=at(10)), order.number, taps[-1].id)
    assert [one.undone_at is None for one in taps] == [True, False]


def test_a_step_that_is_done_is_not_done_again(session, catalogue):
    order = _filled(session, catalogue)
    _step(session, order, "assembled")
    with pytest.raises(Refused) as refusal:
        _step(session, order, "assembled", now=at(10))
    assert "“assembled”" in problems(refusal)["step"][0]


@pytest.mark.parametrize("step", ["dry", "packed"])
def test_what_does_not_apply_is_no_step(session, catalogue, step):
    order = _filled(session, catalogue)
    with pytest.raises(Refused) as refusal:
        _step(session, order, step)
    assert f"“{step}”" in problems(refusal)["step"][0]


def test_nothing_leaves_before_all_are_filled(session, catalogue):
    order = take(session, order_request(catalogue, line(catalogue), line(catalogue, "12 in latex", quantity=2)))
    tap(session, order.batches[0], "finish")
    with pytest.raises(Refused) as refusal:
        _step(session, order, "assembled")
    assert set(problems(refusal)) == {"step"}


def test_the_same_client_key_twice_is_one_step(session, catalogue):
    order = _filled(session, catalogue)
    _step(session, order, "assembled", key="once")
    _step(session, order, "assembled", key="once")
    assert len(session.scalars(select(Tap).where(Tap.act == "assembled")).all()) == 1


def test_undoing_the_hand_over_opens_the_order_again(session, catalogue):
    order = _filled(session, catalogue)
    for step in UNTREATED:
        _step(session, order, step)
    undo_step(ctx(session, who="Isolde", now=at(10)), order.number, _tap_of(session, "handed over").id)
    assert (order.state, order.handed_over_at) == ("open", None)
    assert history_of(session, order)[-1].act == "hand-over undone"
    _step(session, order, "handed over", now=at(11))
    assert order.handed_over_at == at(11)


def test_undoing_twice_is_undoing_once(session, catalogue):
    order = _filled(session, catalogue)
    _step(session, order, "assembled")
    first = _tap_of(session, "assembled").id
    undo_step(ctx(session, who="Isolde", now=at(10)), order.number, first)
    _step(session, order, "assembled", now=at(11))
    undo_step(ctx(session, who="Isolde", now=at(12)), order.number, first)
    assert _tap_of(session, "assembled").undone_at is None


def test_each_step_is_undone_alone_but_not_under_a_hand_over(session, catalogue):
    order = _filled(session, catalogue)
    for step in UNTREATED:
        _step(session, order, step)
    assembled = _tap_of(session, "assembled")
    with pytest.raises(Refused) as refusal:
        undo_step(ctx(session, who="Isolde", now=at(10)), order.number, assembled.id)
    assert set(problems(refusal)) == {"step"}
    for tap_id in (_tap_of(session, "handed over").id, assembled.id):
        undo_step(ctx(session, who="Isolde", now=at(10)), order.number, tap_id)
    left = [one.act for one in session.scalars(select(Tap).where(Tap.undone_at.is_(None), Tap.batch_id.is_(None)))]
    assert left == [step for step in UNTREATED[:-1] if step != "assembled"]


def test_a_tap_of_the_bench_is_no_step_to_undo(session, catalogue):
    order = _filled(session, catalogue)
    with pytest.raises(NotFound):
        undo_step(ctx(session, who="Isolde", now=at(10)), order.number, _tap_of(session, "finish").id)


def test_an_order_handed_over_takes_no_more_steps(session, catalogue):
    order = _filled(session, catalogue)
    for step in UNTREATED:
        _step(session, order, step)
    with pytest.raises(Refused) as refusal:
        _step(session, order, "handed over", now=at(12))
    assert set(problems(refusal)) == {"step"}


def test_treated_balloons_that_nobody_wants_any_more_need_not_dry(session, catalogue):
    """The treated batch was begun and then dropped: it stays on the bench with nothing to fill."""
    order = take(
        session, order_request(catalogue, line(catalogue), line(catalogue, "12 in latex", quantity=2, treated=True))
    )
    for batch in order.batches:
        tap(session, batch, "start" if batch.treated else "finish")
    change(session, order, order_request(catalogue, line(catalogue)))
    _step(session, order, "assembled")
    assert _tap_of(session, "assembled") is not None


def test_balloons_added_after_the_weights_are_weighted_too(session, catalogue):
    """Nothing goes out unweighted: what was assembled and weighted before an order grew does not count for all."""
    order = _filled(session, catalogue)
    for step in ("assembled", "weighted", "bagged", "ready"):
        _step(session, order, step)
    change(session, order, order_request(catalogue, line(catalogue, quantity=30)), now=at(10))
    tap(session, order.batches[0], "finish", now=at(11))
    with pytest.raises(StepAsked) as asked:
        take_step(ctx(session, now=at(12)), order.number, HandOverStep.HANDED_OVER, "door")
    assert ConcernKind.UNWEIGHTED in {one.kind for one in asked.value.concerns}
