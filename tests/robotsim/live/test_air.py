"""What goes through between the tug's radio and the outside, and what does not; no time passes."""

from __future__ import annotations

import json
import math
from queue import SimpleQueue

import pytest

from robotsim import Recording, run_trial
from robotsim.live.air import News
from robotsim.live.example import EXAMPLE
from robotsim.live.session import LOST_S, LiveSession, open_session
from robotsim.radio import Airwaves, Order
from robotsim.radio.packets import Publish
from robotsim.table import make_table
from robotsim.units import MS, SECOND

ORDER, LOG = "harbour/tug-7/order", "harbour/tug-7/log"
GO = {"speed": 0.1, "seconds": 60}


class FakePost:
    """The outside: what the tug published, and what the test sends at a simulated time."""

    def __init__(self) -> None:
        self.inbox: SimpleQueue[News] = SimpleQueue()
        self.published: list[Publish] = []
        self.asked = 0
        self.kept: list[Publish] = []

    def publish(self, message: Publish) -> None:
        self.published.append(message)

    def ask(self) -> None:
        self.asked += 1
        for message in self.kept:
            self.inbox.put(News("message", message))

    @property
    def reports(self) -> list[dict[str, str]]:
        return [json.loads(m.payload) for m in self.published if m.topic == LOG]


class Ticker:
    """The clock on the wall, for a run that waits for nothing."""

    def __init__(self, script: dict[float, News | Publish]) -> None:
        self.waiting = sorted(script.items())
        self.at = 0
        self.session: LiveSession

    def __call__(self, now_ns: int) -> None:
        while self.at <= now_ns:
            while self.waiting and self.waiting[0][0] * SECOND <= self.at:
                news = self.waiting.pop(0)[1]
                self.session.radio.inbox.put(
                    news if isinstance(news, News) else News("message", news)
                )
            self.at += 10 * MS
            self.session.tick(self.at - 10 * MS)


def played(
    script: dict[float, News | Publish], seconds: float = 6.0, program: str = EXAMPLE,
    kept: list[Publish] | None = None,
) -> tuple[Recording, FakePost]:  # fmt: skip
    """Run a session as fast as it can; what comes from outside comes at simulated times."""
    post, ticker = FakePost(), Ticker(script)
    post.kept = kept or []
    session = open_session(
        {"main.py": program}, "main.py", make_table("basin"), 7, 0, seconds, None, "cpython",
        Airwaves(), post,
    )  # fmt: skip
    ticker.session = session
    session.pace.hold = ticker  # type: ignore[method-assign]
    session.radio._hold = ticker
    session.run()
    return session.recording("basin", seconds), post


def order(what: object, retain: bool = False) -> Publish:
    payload = what if isinstance(what, bytes) else json.dumps(what).encode()
    return Publish(ORDER, payload, 1, retain)


def moved(recording: Recording, begin: float, end: float) -> float:
    """Give how far the tug came, in m."""
    return math.dist(
        [recording.at(name, begin) for name in ("x", "y")],
        [recording.at(name, end) for name in ("x", "y")],
    )


BAD = {
    b"": "it is not JSON", b"not json": "it is not JSON", b"\xff\xfe": "it is not UTF-8",
    b'{"speed": 0.2}': "a speed needs seconds above 0: no order moves a tug for ever",
    b'{"speed": "0.2", "seconds": 2}': "speed is a number",
    b'{"speed": true, "seconds": 2}': "speed is a number",
    b'{"speed": NaN, "seconds": 2}': "NaN is not JSON",
    b'{"speed": 1e999, "seconds": 2}': "speed is from -0.5 to 0.5",
    b'{"speed": 0.2, "seconds": 2, "x": 1}': "it has an unknown name: 'x'",
    b"[0.2, 2]": "it is JSON, but no object in braces",
    b'__import__("machine").reset()': "it is not JSON",
    b'{"lamps": [0, 0]}': "a colour is three whole numbers from 0 to 255",
    b"x" * 1_000_000: "it has 1000000 bytes; at most 512 are taken",
    b"[" * 500: "it is not JSON",
}  # fmt: skip


@pytest.fixture(scope="module")
def abused() -> tuple[Recording, FakePost]:
    """A tug that gets one good order and then rubbish, slowly and at last in a flood."""
    script: dict[float, News | Publish] = {2.5: order({"speed": 0.1, "seconds": 0.5})}
    script |= {4.0 + 0.2 * k: order(payload) for k, payload in enumerate(BAD)}
    script |= {8.0 + 0.001 * k: order(b"flood %d" % k) for k in range(400)}
    return played(script, 9.5)


def test_a_good_order_moves_the_tug_and_its_reports_go_out(
    abused: tuple[Recording, FakePost],
) -> None:
    recording, post = abused
    assert moved(recording, 2.5, 3.5) > 0.03
    assert [r["did"] for r in post.reports[:3]] == ["joined", "started", "done"]
    assert {m.topic for m in post.published} == {LOG}
    assert {m.qos for m in post.published} == {1}


def test_rubbish_never_moves_the_tug_and_each_reason_is_reported(
    abused: tuple[Recording, FakePost],
) -> None:
    recording, post = abused
    assert moved(recording, 3.5, 9.5) < 1e-6
    reasons = [r["why"] for r in post.reports if r["did"] == "refused"]
    assert reasons[: len(BAD)] == list(BAD.values())
    noted = [e.detail for e in recording.of("radio") if e.what == "order refused"]
    assert noted == reasons, "the recording tells the same"


def test_a_flood_of_rubbish_is_not_answered_by_another(abused: tuple[Recording, FakePost]) -> None:
    recording, post = abused
    refused = [e.seconds for e in recording.of("radio") if e.what == "order refused"]
    assert len([at for at in refused if at >= 8.0]) == 10
    assert recording.ended == "time is up" and recording.problem is None


def test_the_program_hears_nothing_of_what_is_refused(abused: tuple[Recording, FakePost]) -> None:
    recording, _ = abused
    heard = [bytes.fromhex(e.hex) for e in recording.of("message") if e.stage == "arrived"]
    assert heard == [b'{"speed": 0.1, "seconds": 0.5}']


def test_a_retained_order_is_there_when_the_tug_subscribes() -> None:
    kept = order({"lamps": [0, 90, 0]}, retain=True)
    recording, post = played({}, 3.0, kept=[kept])
    assert set(recording.lamps_at(2.9)) == {(0, 90, 0)}
    flags = [e.retain for e in recording.of("message") if e.stage == "arrived" and e.topic == ORDER]
    assert flags == [True], "MQTT 3.1.1, 3.3.1.3: marked as kept for a new subscription"
    assert post.asked == 1


RECKLESS = EXAMPLE.replace(
    "def stop():\n    global until", "def stop():\n    return\n    global until"
)
"""Never stops its motors by itself."""


def test_a_lost_link_cuts_the_motors_off_whatever_the_program_does() -> None:
    down, up = News("down", why="the broker is gone"), News("up")
    script: dict[float, News | Publish] = {2.5: order(GO), 4.0: down, 6.5: up, 8.0: order(GO)}
    assert RECKLESS != EXAMPLE
    recording, post = played(script, 9.5, RECKLESS)
    assert moved(recording, 3.0, 4.0) > 0.05, "it was under way"
    assert moved(recording, 4.0 + LOST_S + 0.3, 8.0) < 1e-4, "the parts stand, link or not"
    assert moved(recording, 8.3, 9.3) > 0.05, "a new order moves it again"
    told = [(e.what, e.detail) for e in recording.of("radio") if e.what in ("link", "guard")]
    assert told == [
        ("link", "lost: the broker is gone"), ("guard", "motors off"), ("link", "back"),
    ]  # fmt: skip
    assert [r["did"] for r in post.reports].count("joined") == 2


def test_a_short_loss_leaves_a_program_that_stops_by_itself_alone() -> None:
    script: dict[float, News | Publish] = {2.5: order(GO), 4.0: News("down"), 4.5: News("up")}
    recording, _ = played(script, 6.5)
    assert moved(recording, 4.3, 6.5) < 1e-4, "the example stops when its connection ends"
    assert not [e for e in recording.of("radio") if e.what == "guard"]


MEDDLER = EXAMPLE.replace(
    '        report("joined")\n',
    '        report("joined")\n'
    '        client.publish("harbour/tug-8/order", \'{"speed": 0.5, "seconds": 9}\', qos=1)\n'
    '        client.publish("harbour/tug-7/order", \'{"speed": 0.1, "seconds": 1}\', qos=1)\n'
    '        client.publish("weather", "fair", qos=1)\n',
)


def test_a_tug_speaks_outside_under_its_own_name_only() -> None:
    recording, post = played({}, 4.0, MEDDLER)
    assert {m.topic for m in post.published} == {LOG}
    kept = [e.detail for e in recording.of("radio") if e.what == "not passed on"]
    assert kept == ["harbour/tug-8/order", ORDER, "weather"]


@pytest.mark.parametrize("engine", ["micropython"])
def test_the_example_does_the_same_under_the_real_interpreter(need_engine: None) -> None:
    orders = [
        Order(2.5, {"speed": 0.2, "radius": 0.3, "seconds": 1, "number": 5}),
        Order(3.0, {"lamps": [[9, 0, 0], [0, 9, 0], [9, 9, 9], [9, 9, 9], [0, 0, 0]]}),
        Order(3.2, {"speed": 9}), Order(3.4, "nothing"), Order(4.0, {"speed": 0, "number": 6}),
    ]  # fmt: skip
    one, other = (
        run_trial(EXAMPLE, serial=7, seconds=5.0, air=Airwaves(orders=orders), engine=name)
        for name in ("cpython", "micropython")
    )
    assert one == other and one.problem is None
    told = [json.loads(bytes.fromhex(e.hex)) for e in one.of("message") if e.stage == "said"]
    assert [report["did"] for report in told] == [
        "joined", "started", "done", "refused", "refused", "done", "done",
    ]  # fmt: skip
