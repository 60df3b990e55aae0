"""Many tugs and an office that hears them all: `python tugs.py PORT SECONDS TUGS PASSWORD`.

Each tug publishes ten reports a second at QoS 1; the office subscribes to all of them.  At the end
one line of JSON tells what was sent, acknowledged and heard, and how long each took.
"""

from __future__ import annotations

import asyncio
import json
import sys
import time

from robotsim.radio import packets
from robotsim.radio.packets import Connect, PacketReader, Publish

RATE = 10.0
PATIENCE_S = 30.0


class Client:
    """One connection, at QoS 1, that acknowledges what it hears."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.acknowledged: set[int] = set()
        self.heard: list[tuple[float, bytes]] = []
        self.ready = asyncio.Event()

    async def join(self, port: int, password: str, wanted: str = "") -> None:
        self.reader, self.writer = await asyncio.open_connection("127.0.0.1", port)
        hello = Connect(self.name, keep_alive_s=60, user="office", password=password.encode())
        self.writer.write(hello.encode())
        if wanted:
            name = wanted.encode()
            body = b"\0\1" + len(name).to_bytes(2, "big") + name + b"\1"
            self.writer.write(packets.encode(packets.SUBSCRIBE, body))
        self.task = asyncio.create_task(self.listen())
        await asyncio.wait_for(self.ready.wait(), PATIENCE_S)

    async def listen(self) -> None:
        reader = PacketReader()
        while data := await self.reader.read(65_536):
            now = time.monotonic()
            for packet in reader.feed(data):
                if packet.kind in (packets.CONNACK, packets.SUBACK):
                    self.ready.set()
                elif packet.kind == packets.PUBACK:
                    self.acknowledged.add(int.from_bytes(packet.body, "big"))
                elif packet.kind == packets.PUBLISH:
                    told = Publish.read(packet)
                    self.heard.append((now, told.payload))
                    answer = told.number.to_bytes(2, "big")
                    self.writer.write(packets.encode(packets.PUBACK, answer))

    async def report(self, seconds: float, late: float) -> int:
        """Publish ten times a second, and give how often."""
        begin = time.monotonic() + late
        for k in range(round(RATE * seconds)):
            await asyncio.sleep(max(0.0, begin + k / RATE - time.monotonic()))
            payload = json.dumps({"tug": self.name, "k": k, "at": time.monotonic()}).encode()
            told = Publish(f"harbour/{self.name}/log", payload, 1, number=k + 1)
            self.writer.write(told.encode())
        return round(RATE * seconds)


async def main(port: int, seconds: float, count: int, password: str) -> dict[str, float]:
    office = Client("office")
    await office.join(port, password, "harbour/+/log")
    await asyncio.sleep(0.2)
    tugs = [Client(f"tug-{k}") for k in range(1, count + 1)]
    for tug in tugs:
        await tug.join(port, password)
    begin = time.monotonic()
    sent = sum(
        await asyncio.gather(*(t.report(seconds, k / count / RATE) for k, t in enumerate(tugs)))
    )
    took = time.monotonic() - begin
    end = time.monotonic() + PATIENCE_S

    def is_done() -> bool:
        return len({p for _, p in office.heard}) == sent == sum(len(t.acknowledged) for t in tugs)

    while not is_done() and time.monotonic() < end:
        await asyncio.sleep(0.05)
    delays = sorted(at - json.loads(payload)["at"] for at, payload in office.heard)
    heard = len({payload for _, payload in office.heard})
    return {
        "sent": sent, "took": took, "acknowledged": sum(len(t.acknowledged) for t in tugs),
        "heard": heard, "twice": len(office.heard) - heard,
        "half": delays[len(delays) // 2], "most": delays[int(0.99 * (len(delays) - 1))],
        "longest": delays[-1],
    }  # fmt: skip


if __name__ == "__main__":
    where, seconds, count, password = sys.argv[1:]
    print(json.dumps(asyncio.run(main(int(where), float(seconds), int(count), password))))
