"""Many learners in a room: `python learners.py PORT PASSWORD COUNT ROUNDS`.

Each joins, and then in every round tells of one task more, all of them within a second, from
threads of this one process.  At the end one line of JSON tells when each began to tell what.
"""

from __future__ import annotations

import json
import random
import secrets
import sys
import threading
import time

from checks import TASKS
from checks.room.message import READY, Ready, Tried, today, topic, write
from checks.room.post import post
from robotsim.live.access import GUEST
from robotsim.live.address import Address

PAUSE_S = 3.0
"""From one round to the next."""


def learn(number: int, address: Address, rounds: int, told: list[tuple[str, str, float]]) -> None:
    """Join and tell, as one learner's laptop does."""
    chance, key, alias = random.Random(number), secrets.token_hex(8), f"Gull {number}."
    day, begin = today(time.time()), time.monotonic()
    post(address, {topic(key, READY): write(Ready(alias, day, ()))}, 30.0)
    for k, task in enumerate(list(TASKS)[:rounds]):
        moment = begin + PAUSE_S * (k + 1) + chance.random()
        time.sleep(max(0.0, moment - time.monotonic()))
        told.append((alias, task, time.time()))
        done = Tried(alias, day, task, TASKS[task].points, 1, 0, None, "0000000a")
        post(address, {topic(key, task): write(done)}, 30.0)


def main(port: int, password: str, count: int, rounds: int) -> None:
    """Let them learn, and print when each told what."""
    address = Address("127.0.0.1", port, GUEST, password)
    told: list[tuple[str, str, float]] = []
    threads = [
        threading.Thread(target=learn, args=(number, address, rounds, told))
        for number in range(count)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    print(json.dumps(told))


if __name__ == "__main__":
    main(int(sys.argv[1]), sys.argv[2], int(sys.argv[3]), int(sys.argv[4]))
