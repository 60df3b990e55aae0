"""Three learners at a real hub with its real proxy: they work, and cannot reach each other."""

from __future__ import annotations

import asyncio
import json
import re
import tempfile
import threading
from collections.abc import Iterator
from contextlib import AsyncExitStack
from dataclasses import replace
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.request import urlopen

import pytest
import zmq

from checks.course.classroom import open_class
from checks.course.collect import collect
from checks.hub.back import give_back
from checks.hub.codes import TEACHER
from tests.checks.hub.browser import NAVIGATES, Browser
from tests.checks.hub.school import FIRST_TUG, School, processes_of
from tests.checks.hub.work import at_once, full_marks, solved_for

pytestmark = [pytest.mark.npm, pytest.mark.slow]
FILE = "1-lamps.ipynb"


TAKEN = """
from jupyterhub import spawner
draw, taken = spawner.random_port, [{port}]
spawner.random_port = lambda: taken.pop() if taken else draw()
"""
"""Has the hub draw a port first which somebody else has when the server comes to bind it."""


class Impostor(BaseHTTPRequestHandler):
    """Answers everything, as another learner's server would that has a seat's port."""

    def do_GET(self) -> None:
        self.send_response(200)
        self.end_headers()

    def log_message(self, *_: Any) -> None:
        """Write nothing."""


@pytest.fixture(scope="module")
def school(proxy: Path) -> Iterator[School]:
    with ThreadingHTTPServer(("127.0.0.1", 0), Impostor) as impostor:
        threading.Thread(target=impostor.serve_forever, daemon=True).start()
        made = School(3, proxy, TAKEN.format(port=impostor.server_port))
        try:
            made.start()
            yield made
        finally:
            made.end()
            impostor.shutdown()


async def lesson_done(school: School, number: int) -> dict[str, float]:
    """Log in, open a seat and a lesson, solve it, hand it in; give the points on the cards."""
    async with Browser(school.address, school.learners[number]) as browser:
        home = await browser.enter()
        assert f"value='{FIRST_TUG + number}'" in home  # the learner's own tug
        lesson = await browser.open_lesson(FILE)
        shown = await lesson.run_all(solved_for(FIRST_TUG + number))
        assert "with your teacher since" in await browser.press("/quayside/hand-in")
        return {name: float(points) for name, points in shown.items()}


# The tests of this module build on each other: the first one opens the seats.


def test_all_of_them_open_a_lesson_run_it_and_have_their_cards_right(school: School) -> None:
    shown = at_once(*(lesson_done(school, number) for number in range(3)))
    assert shown == [full_marks("lamps")] * 3


def test_a_seat_whose_port_somebody_has_taken_got_another(school: School) -> None:
    """The first one did; in the test before it ran its lesson like the others."""
    assert school.log().count("they get another") == 1


def test_nobody_comes_in_without_their_own_code(school: School) -> None:
    anna, bo, _ = school.learners

    async def tries() -> list[bool]:
        async with Browser(school.address, anna) as browser:
            refused = await browser.knock(bo.code)
            assert refused is not None and "your teacher can help" in refused
            return [await browser.log_in(code) for code in (bo.code, "", "longenough", anna.user)]

    assert at_once(tries()) == [[False] * 4]


def test_a_name_and_a_code_may_be_typed_as_a_telephone_types_them(school: School) -> None:
    anna = school.learners[0]
    typed = replace(anna, user=f" {anna.user.upper()} ", code=f"{anna.code.capitalize()} ")

    async def come() -> bool:
        async with Browser(school.address, typed) as browser:
            return await browser.log_in()

    assert at_once(come()) == [True]


def test_a_code_is_changed_by_whoever_knows_it_and_types_the_new_one_twice(school: School) -> None:
    bo = school.learners[1]
    tries = {
        "are not the same": (bo.code, "harbour-boat", "harbour-baot"),
        "has 7 to 72 letters": (bo.code, "boat", "boat"),
        "no space at": (bo.code, "harbour-boat ", "harbour-boat "),
        "is not your code of now": ("another", "harbour-boat", "harbour-boat"),
        "Your code is changed": (bo.code, "Harbour-boat", "harbour-boat"),
    }

    async def come() -> list[bool]:
        async with Browser(school.address, bo) as browser:
            assert await browser.log_in()
            first = await browser.change_code()
            assert "The new one once more" in first and "Capitals or small letters" in first
            for words, typed in tries.items():
                assert await browser.log_in(), "none of what was refused has changed it"
                assert words in await browser.change_code(*typed)
            typed_now = ("harbour-boat", "Harbour-boat", "HARBOUR-BOAT ")
            assert all([await browser.log_in(code) for code in typed_now])
            found = [await browser.log_in(), await browser.log_in("harbour-boat")]
            await browser.change_code("harbour-boat", bo.code, bo.code)
            return [*found, await browser.log_in("x" * 200), await browser.log_in()]

    assert at_once(come()) == [[False, True, False, True]]


def test_who_has_lost_a_code_has_that_of_the_slip_again_and_nobody_else_notices(
    school: School,
) -> None:
    """The teacher deletes the user on the admin page, which calls this."""
    bo = school.learners[1]
    (teacher,) = [one for one in school.passes if one.role == TEACHER]

    async def come() -> list[bool]:
        async with Browser(school.address, teacher) as ada, Browser(school.address, bo) as his:
            assert await ada.log_in() and await his.log_in()
            await his.change_code(bo.code, "harbour-boat", "harbour-boat")
            before = [await his.log_in(), await his.log_in("harbour-boat")]
            assert await ada.forget(bo.user) == 204
            return [*before, await his.log_in("harbour-boat"), await his.log_in()]

    assert at_once(come()) == [[False, True, False, True]]
    assert bo.user in {path.name for path in (school.root / "homes").iterdir()}


def test_the_page_to_log_in_says_where_one_is(school: School) -> None:
    with urlopen(f"{school.address}/hub/login", timeout=60) as page:
        text = page.read().decode()
    assert "<title>Quayside: log in</title>" in text and "on the slip" in text
    assert 'name="username"' in text and 'name="password"' in text


def test_a_teachers_home_page_leads_to_the_room_and_hands_nothing_in(school: School) -> None:
    (teacher,) = [one for one in school.passes if one.role == TEACHER]

    async def look() -> list[str]:
        async with Browser(school.address, teacher) as ada, Browser(
            school.address, school.learners[0]
        ) as anna:
            homes = await asyncio.gather(ada.enter(), anna.enter())
            rooms = re.findall(r"href='(/services/desk/room[^']*|/hub/admin)'", homes[0])
            return [*homes, *[await ada.page(place, school.address) for place in rooms]]

    ((hers, annas, room, large, admin),) = at_once(look())
    assert "Hand in" not in hers and "Hand in to your teacher" in annas
    assert "<em>Delete user</em>" in hers and "the code of the slip holds again" in hers
    assert "/hub/admin" not in annas and "/desk/room" not in annas
    assert "In the room" in room and "In the room" in large and "admin" in admin


def test_a_seat_has_no_language_server_and_both_of_jupyters_pages(school: School) -> None:
    """Nothing of ours uses the first one; the second page is a button in the first's tool bar."""

    async def look() -> list[int]:
        async with Browser(school.address, school.learners[0]) as anna:
            await anna.enter()
            return [await anna.status("GET", f"{anna.base}{place}", headers=NAVIGATES)
                    for place in ("/lsp/status", "/lab", f"/notebooks/{FILE}")]  # fmt: skip

    assert at_once(look()) == [[404, 200, 200]]


def test_what_was_handed_in_is_collected_and_feedback_comes_back_to_its_owner_alone(
    school: School, tmp_path: Path
) -> None:
    course = tmp_path / "course"
    list(open_class(course, school.roster, ids=["lamps"]))
    told = [*collect(course, school.root / "desk")]
    assert told[-1].startswith("3 taken, 0 were here already, 0 left"), told
    anna, bo, cy = school.learners
    for who in (anna, bo):
        page = course / "feedback" / who.user / "lamps" / "lamps.html"
        page.parent.mkdir(parents=True)
        page.write_text(f"<p>For {who.name}</p>", encoding="utf-8")
    (told_back,) = give_back(course, school.root / "desk")
    assert "2 pages laid at the desk for 2 learners" in told_back

    async def look(who: Any) -> tuple[str, str]:
        async with Browser(school.address, who) as browser:
            await browser.enter()
            said = await browser.press("/quayside/feedback")
            return said, await browser.page("/files/feedback/lamps/lamps.html")

    (first, hers), (second, his), (third, none) = at_once(*map(look, (anna, bo, cy)))
    assert (first, second, third) == ("New feedback: 1 page.", "New feedback: 1 page.",
                                      "There is no feedback for you yet.")  # fmt: skip
    assert f"For {anna.name}" in hers and f"For {bo.name}" in his and "For" not in none


def test_nbgraders_own_commands_reach_the_desk(school: School) -> None:
    cy = school.learners[2]
    command = "import subprocess, sys\nfor words in {words}:\n" + (
        "    done = subprocess.run([sys.executable, '-m', 'nbgrader', *words.split()],"
        " capture_output=True, text=True)\n    print(done.returncode, done.stdout, done.stderr)"
    )

    async def come() -> list[str]:
        async with Browser(school.address, cy) as browser:
            await browser.enter()
            lesson = await browser.open_lesson(FILE)
            lesson.notebook["cells"].append(
                {"cell_type": "markdown", "id": "more", "metadata": {}, "source": "and more"}
            )
            await lesson.save(lesson.notebook)
            asked = (["submit lamps"], ["list --inbound"], ["submit drive"], ["submit nonsense"])
            return [(await lesson.run(command.format(words=words))).printed for words in asked]

    before = len([*(school.root / "desk" / "inbound").glob(f"{cy.user}+lamps+*")])
    ((sent, listed, unbegun, unknown),) = at_once(come())
    kept = sorted((school.root / "desk" / "inbound").glob(f"{cy.user}+lamps+*"))
    assert sent.startswith("0 ") and "with your teacher since" in sent
    assert len(kept) == before + 1 and "and more" in (kept[-1] / "lamps.ipynb").read_text("utf-8")
    assert listed.startswith("0 ") and kept[-1].name.split("+")[2] in listed
    assert unbegun.startswith("1 ") and "nothing to hand in yet" in unbegun
    assert unknown.startswith("1 ") and "nonsense" in unknown


def test_a_teacher_sees_who_joined_by_their_name_at_the_hub_and_no_learner_does(
    school: School,
) -> None:
    anna, bo, _ = school.learners
    (teacher,) = [one for one in school.passes if one.role == TEACHER]
    desk = f"{school.address}/services/desk"

    async def come() -> dict[str, Any]:
        async with AsyncExitStack() as stack:
            hers, his, ada = [await stack.enter_async_context(Browser(school.address, who))
                              for who in (anna, bo, teacher)]  # fmt: skip
            await asyncio.gather(hers.enter(), his.enter())
            assert await ada.log_in()
            found: dict[str, Any] = {"before": await ada.page("/room", desk)}
            assert "until tonight" in await hers.press("/quayside/room")
            lesson = await hers.open_lesson(FILE)
            await lesson.run('check("lamps.side")')
            for _ in range(100):  # told behind the notebook's back
                found["after"] = await ada.page("/room", desk)
                if "lamps" in found["after"].lower():
                    break
                await asyncio.sleep(0.3)
            found["large"] = await ada.page("/room/large", desk)
            found["his"] = await his.page("/room", desk)
            found["none"] = [await hers.status("PUT", f"{desk}/room/ready", data=b"{}")]
            forged = b'{"alias":"' + bo.user.encode() + b'","day":"2026-01-01","lacking":null}'
            told = await lesson.run(TELL.format(desk=desk, payload=forged))
            found["forged"] = told.printed
            found["again"] = await ada.page("/room", desk)
            assert "taken back" in await hers.press("/quayside/room", leave="1")
            found["left"] = await ada.page("/room", desk)
            return found

    (found,) = at_once(come())
    assert "In the room" in found["before"] and anna.user[:20] not in found["before"]
    assert anna.user[:20] in found["after"] and anna.user[:20] in found["large"]
    assert "403" in found["his"] and "In the room" not in found["his"]
    assert found["none"] == [403] and found["forged"] == "204\n"
    assert anna.user[:20] in found["again"] and bo.user[:20] not in found["again"]
    assert anna.user[:20] not in found["left"]


TELL = """
import os, urllib.request
head = {{"Authorization": "token " + os.environ["JUPYTERHUB_API_TOKEN"]}}
asked = urllib.request.Request("{desk}/room/ready", {payload!r}, head, method="PUT")
print(urllib.request.urlopen(asked).status)
"""
"""Tells the room what is not so: that somebody else is here."""


def test_who_logs_out_is_out_and_the_next_one_at_that_computer_is_asked(school: School) -> None:
    anna = school.learners[0]

    async def come_and_go() -> tuple[str, list[int]]:
        async with Browser(school.address, anna) as browser:
            home = await browser.enter()
            place = f"{browser.base}/api/contents"
            before = await browser.status("GET", place)
            await browser.page("/logout")
            return home, [before, await browser.status("GET", place)]

    ((home, (before, after)),) = at_once(come_and_go())
    assert f"You are <strong>{anna.user}</strong>" in home and "/auth/change-password'" in home
    assert before == 200 and after in (302, 403)


LISTEN = """
import time, zmq
poller, context = zmq.Poller(), zmq.Context()
for line in {lines}:
    ear = context.socket(zmq.SUB)
    ear.connect(line)
    ear.subscribe(b"")
    poller.register(ear, zmq.POLLIN)
heard, end = [], time.monotonic() + {seconds}
while time.monotonic() < end:
    for ear, _ in poller.poll(100):
        heard.append(b"".join(ear.recv_multipart()).decode("utf-8", "replace"))
context.destroy(linger=0)
print("secret-word" in "".join(heard))
"""
"""Listens to whatever a kernel says to everybody who comes to its socket."""

LINES_OF = """
import json, ipykernel
found = json.load(open(ipykernel.get_connection_file()))
[f"ipc://{found['ip']}-{value}" for name, value in found.items() if name.endswith("_port")]
"""

REACH = """
import json, os, pathlib, signal, socket, urllib.request, urllib.error

def told(do):
    try:
        return str(do())
    except Exception as fault:
        return type(fault).__name__ + (str(fault.code) if hasattr(fault, "code") else "")

def ask(address, token=os.environ["JUPYTERHUB_API_TOKEN"], method="GET", data=None):
    head = {{"Authorization": "token " + token}}
    asked = urllib.request.Request(address, data, head, method=method)
    return urllib.request.urlopen(asked, timeout=10).status

print(json.dumps({{
    "home": told(lambda: os.listdir("{home}")),
    "file": told(lambda: open("{home}/quayside-lessons/1-lamps.ipynb").read(9)),
    "plant": told(lambda: open("{home}/quayside-lessons/mine.py", "w")),
    "lines": told(lambda: os.listdir("{home}/.run")),
    "line": told(lambda: socket.socket(socket.AF_UNIX).connect({lines}[0].removeprefix("ipc://"))),
    "environment": told(lambda: open("/proc/{pid}/environ").read(9)),
    "kill": told(lambda: os.kill({pid}, signal.SIGTERM)),
    "inbound": told(lambda: os.listdir("{desk}/inbound")),
    "codes": told(lambda: open("{etc}/codes.csv").read(9)),
    "passwords": told(lambda: os.listdir("{state}")),
    "seat": told(lambda: ask("{address}/user/{user}/api/contents")),
    "port": told(lambda: ask("http://127.0.0.1:{port}/user/{user}/api/contents")),
    "start": told(lambda: ask("{address}/hub/api/users/{user}/server", method="POST", data=b"")),
    "token": told(lambda: ask("{address}/hub/api/users/{user}/tokens", method="POST", data=b"")),
    "desk": told(lambda: ask("{desk_address}/work/lamps", token="", method="PUT", data=b"{{}}")),
    "desk_list": told(lambda: ask("{desk_address}/feedback/../{user}")),
    "kit": told(lambda: open("{kit}/checks/judge.py", "a")),
    "own": told(lambda: ask("{address}/user/{own}/api/contents")),
}}))
"""
"""Tries, as a learner who can run any Python, to read, change and use what is another's."""

NOTHING = {
    "home": "PermissionError", "file": "PermissionError", "plant": "PermissionError",
    "lines": "PermissionError", "line": "PermissionError",
    "environment": "PermissionError", "kill": "PermissionError", "inbound": "PermissionError",
    "codes": "PermissionError", "passwords": "PermissionError", "seat": "HTTPError403",
    "port": "HTTPError403", "start": "HTTPError403", "token": "HTTPError403",
    "desk": "HTTPError403", "desk_list": "HTTPError404", "kit": "PermissionError", "own": "200",
}  # fmt: skip


def test_two_try_to_read_change_and_be_each_other_and_cannot(school: School) -> None:
    anna, bo, _ = school.learners

    async def tries() -> tuple[dict[str, str], str, str]:
        async with Browser(school.address, anna) as hers, Browser(school.address, bo) as his:
            await asyncio.gather(hers.enter(), his.enter())
            mine, other = await hers.open_lesson(FILE), await his.open_lesson(FILE)
            lines = (await other.run(LINES_OF)).result
            assert lines.count("ipc:///") == 5
            pid = (await other.run("import os; os.getppid()")).result
            server = (await other.run("import os; os.environ['JUPYTERHUB_SERVICE_URL']")).result
            reached = await mine.run(REACH.format(
                home=school.home(bo), pid=pid, lines=lines, desk=school.root / "desk",
                etc=school.root / "etc", state=school.root / "state", address=school.address,
                user=bo.user, own=anna.user, port=server.strip("'").split(":")[2].split("/")[0],
                kit=school.kit, desk_address=f"http://127.0.0.1:{school.ports['883']}/services/desk",
            ))  # fmt: skip
            listening = asyncio.create_task(mine.run(LISTEN.format(lines=lines, seconds=3)))
            for _ in range(4):
                await asyncio.sleep(0.6)
                await other.run("print('secret-word')")
            cookies = await hers.status("GET", f"{school.address}/user/{bo.user}/api/contents")
            return json.loads(reached.printed), (await listening).printed, str(cookies)

    ((reached, heard, cookies),) = at_once(tries())
    assert reached == NOTHING
    assert heard == "False\n"
    assert cookies in ("302", "403", "404")


def test_whoever_listens_would_hear_a_kernel_whose_socket_they_may_open(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The listening of the test before, at a socket of one's own: it does hear."""
    context = zmq.Context()
    voice = context.socket(zmq.PUB)
    with tempfile.TemporaryDirectory(prefix="line-", dir="/tmp") as folder:  # a short path
        line = f"ipc://{folder}/kernel-1"
        voice.bind(line)

        async def speak() -> None:
            listening = asyncio.to_thread(exec, LISTEN.format(lines=[line], seconds=1.5), {})
            task = asyncio.create_task(listening)
            while not task.done():
                voice.send_multipart([b"stream", b"secret-word"])
                await asyncio.sleep(0.05)
            await task

        asyncio.run(speak())
        context.destroy(linger=0)
    assert capsys.readouterr().out == "True\n"


def test_no_kernel_is_spoken_with_over_a_port(school: School) -> None:
    """A seat's server has one, and each kernel one that is bound as it is drawn and takes no
    orders: for what processes print that a cell has forked (ipykernel 7.4, IOPubThread)."""
    anna = school.learners[0]

    async def open_two() -> tuple[int, list[str]]:
        async with Browser(school.address, anna) as browser:
            await browser.enter()
            lessons = [await browser.open_lesson(file) for file in (FILE, "2-drive.ipynb")]
            said = [(await lesson.run("6 * 7")).result for lesson in lessons]
            return len(await browser.api("GET", "kernels")), said

    ((kernels, said),) = at_once(open_two())
    table = [row.split() for row in Path("/proc/net/tcp").read_text("ascii").splitlines()[1:]]
    mine = str(school.account(anna).pw_uid)
    assert said == ["42", "42"]
    assert len([row for row in table if row[3] == "0A" and row[7] == mine]) == 1 + kernels


def test_a_broker_in_a_notebook_takes_its_own_port_and_nobody_else_in(school: School) -> None:
    anna, bo, _ = school.learners
    opened = "from robotsim.live.office import open_office; office = open_office()"
    join = (
        "import paho.mqtt.client as mqtt, time\n"
        "client, said = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2), []\n"
        "client.on_connect = lambda c, u, f, reason, p: said.append(reason.is_failure)\n"
        "{login}client.connect('127.0.0.1', {port}); client.loop_start(); time.sleep(1)\n"
        "client.loop_stop(); print(said[:1])"
    )

    async def tries() -> list[str]:
        async with Browser(school.address, anna) as hers, Browser(school.address, bo) as his:
            await asyncio.gather(hers.enter(), his.enter())
            mine, other = await hers.open_lesson(FILE), await his.open_lesson(FILE)
            await other.run(opened)
            await mine.run(opened)
            port = (await other.run("office.address.port")).result
            assert (await mine.run("office.address.port")).result != port
            right = (await other.run("office.address.password")).result
            words = ["", "client.username_pw_set('office', office.address.password); ",
                     f"client.username_pw_set('office', {right}); "]  # fmt: skip
            return [(await mine.run(join.format(login=w, port=port))).printed for w in words]

    assert at_once(tries()) == [["[True]\n", "[True]\n", "[False]\n"]]


def test_who_is_in_the_class_no_more_is_out_though_their_browser_is_open(school: School) -> None:
    """The last one of the class: the tests before need all three."""
    cy = school.learners[2]
    codes = school.root / "etc" / "codes.csv"
    whole = codes.read_text(encoding="utf-8")

    async def stay() -> tuple[int, list[int], bool]:
        async with Browser(school.address, cy) as browser:
            await browser.enter()
            place = f"{browser.base}/api/contents"
            before = await browser.status("GET", place)
            codes.write_text(whole.replace(f"{cy.name},learner", f"{cy.name},gone"), "utf-8")
            for _ in range(200):
                await asyncio.sleep(0.3)
                if not processes_of(school.account(cy).pw_uid):
                    break
            await browser.status("GET", f"{school.address}/hub/spawn", headers=NAVIGATES)
            await asyncio.sleep(2)
            after = [await browser.status("GET", place),
                     len(processes_of(school.account(cy).pw_uid))]  # fmt: skip
            return before, after, await browser.log_in()

    ((before, (after, processes), again),) = at_once(stay())
    assert before == 200 and after in (302, 403, 404, 503) and processes == 0
    assert not again
    codes.write_text(whole, encoding="utf-8")


def test_a_killed_hub_and_a_newer_kit_lose_nobody_a_cell(school: School) -> None:
    """Killed, a newer kit laid, started again: who sat there sits there, with the kit of before."""
    anna, bo, _ = school.learners
    where = "import checks; checks.__file__"

    async def before() -> tuple[str, Any]:
        async with Browser(school.address, anna) as browser:
            await browser.enter()
            lesson = await browser.open_lesson(FILE)
            await lesson.run("kept = 6 * 7")
            lesson.notebook["cells"].append(
                {"cell_type": "markdown", "id": "last", "metadata": {}, "source": "my last cell"}
            )
            await lesson.save(lesson.notebook)
            return lesson.kernel, lesson.notebook

    async def sitting(kernel: str, notebook: Any) -> list[str]:
        async with Browser(school.address, anna) as browser:
            await browser.enter()
            lesson = await browser.join(notebook, FILE, kernel)
            cells = (await browser.api("GET", f"contents/{FILE}?content=1"))["content"]["cells"]
            fresh = await browser.open_lesson("2-drive.ipynb")
            assert "with your teacher since" in await browser.press("/quayside/hand-in")
            return [(await lesson.run("kept")).result, cells[-1]["source"],
                    (await fresh.run(where)).result]  # fmt: skip

    async def coming() -> list[str]:
        async with Browser(school.address, bo) as browser:
            await browser.enter()
            await browser.leave_seat()
            page = await browser.open_seat()
            lesson = await browser.open_lesson(FILE)
            return [page, (await lesson.run(where)).result]

    ((kernel, notebook),) = at_once(before())
    seats, mine = processes_of(school.account(anna).pw_uid), (school.work(bo) / FILE).read_bytes()
    older = school.kit
    helpers = school.helpers()
    school.kill()
    newer = school.lay_kit("kit-2")
    changed = newer / "lessons" / "lamps" / "lamps.ipynb"
    changed.write_text(changed.read_text("utf-8").replace("# Lamps", "# Lamps anew", 1), "utf-8")
    assert {*seats} <= {*processes_of(school.account(anna).pw_uid)}
    school.start()
    assert len(helpers) == 3 and not {*helpers} & {*school.helpers()}
    (kept, cell, running), (page, fresh) = at_once(sitting(kernel, notebook), coming())
    assert (kept, cell) == ("42", "my last cell") and str(older) in running
    assert str(newer) in fresh and "1-lamps (new version).ipynb" in page
    assert (school.work(bo) / FILE).read_bytes() == mine
    beside = school.work(bo) / "1-lamps (new version).ipynb"
    assert "# Lamps anew" in beside.read_text("utf-8")
