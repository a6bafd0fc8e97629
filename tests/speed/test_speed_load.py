"""How much slower answers come while a whole shop works at once, against one device alone.

Skipped unless asked for: pytest tests/speed --benchmark-only -n0. Twenty tablets poll, four counters ask for quotes
and one decorator taps, each on a connection of its own; the slowest in twenty answers is compared with the usual
answer to the same device alone.
"""

import itertools
import re
import statistics
import threading
import time

from tests.speed.lines import line_to, served
from tests.speed.shops import caller_of_three_lines, fill_open_orders

TABLETS, COUNTERS = 20, 4
SECONDS = 20
POLL_EVERY, QUOTE_EVERY, TAP_EVERY = 1.0, 1.0, 2.0
PART = {"HX-Request-Type": "partial"}


def _token(line):
    return re.search(r'name="csrf_token" value="([^"]+)"', line.ask("/counter/"))[1]


def _poll(line):
    """Returns a call that asks for the board as a tablet does, which says what it shows."""
    shown = [""]

    def call():
        answer, content = line.answer(f"/bench?v={shown[0]}", None, PART | {"X-Board-Shown": shown[0]})
        assert answer.status in (200, 204)
        if answer.status == 200:
            shown[0] = re.search(rb'data-version="([^"]+)"', content)[1].decode()

    return call


def _quote(line):
    body = caller_of_three_lines(_token(line))
    return lambda: line.ask("/counter/draft", body=body, **PART)


def _tap(line):
    """Returns a call that starts one batch after the other."""
    token, numbers = _token(line), itertools.count()
    keys = itertools.cycle(re.findall(r'"key":"([^"]+)"', line.ask("/bench.json").replace(" ", "")))

    def call():
        body = f"csrf_token={token}&client_key=load{next(numbers):012}&act=start&sure=yes"
        answer, content = line.answer(f"/bench/batches/{next(keys)}/taps?back=board", body, {**PART})
        assert answer.status in (200, 422), content[:300]

    return call


def _times(call, every, until):
    """The seconds of each answer, one asked for after the other at this pace."""
    found = []
    while time.monotonic() < until:
        began = time.monotonic()
        call()
        found.append(time.monotonic() - began)
        time.sleep(max(every - found[-1], 0))
    return found


def _alone(make, port, every):
    with line_to(port) as line:
        return statistics.median(_times(make(line), every / 10, time.monotonic() + 3))


def test_a_whole_shop_at_once(note, shop_file, tmp_path):
    devices = [(_poll, POLL_EVERY)] * TABLETS + [(_quote, QUOTE_EVERY)] * COUNTERS + [(_tap, TAP_EVERY)]
    found = {make: [] for make, _ in devices}
    with served(shop_file, tmp_path, fill_open_orders) as port:
        alone = {make: _alone(make, port, every) for make, every in {*devices}}
        until = time.monotonic() + SECONDS

        def work(make, every):
            with line_to(port) as line:
                found[make].extend(_times(make(line), every, until))

        threads = [threading.Thread(target=work, args=device) for device in devices]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    for make, times in found.items():
        slow, what = statistics.quantiles(times, n=20)[-1], make.__name__.strip("_")
        note(f"a whole shop at once, {what}: 95 in 100 of {len(times)}", slow / alone[make], "× alone", aim=5)
