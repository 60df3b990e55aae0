import time
from tug import drive, stop
from wireless import join, next_order, report

memory = {"number": None, "until": 0}


def go(order):
    memory["number"] = order.get("number")
    memory["until"] = time.ticks_add(time.ticks_ms(), int(1000 * order["seconds"]))
    drive(0.4, 0.4)
    report("started", memory["number"])


def halt(order):
    stop()
    report("stopped", order.get("number"))


def arrive(order):
    stop()
    report("done", memory["number"])


TABLE = {
    ("waiting", "go"): ("driving", go),
    ("waiting", "stop"): ("waiting", halt),
    ("driving", "stop"): ("waiting", halt),
    ("driving", "over"): ("waiting", arrive),
}


def events(state):
    order = next_order()
    if order:
        yield ("go" if order["speed"] else "stop"), order
    if state == "driving" and time.ticks_diff(memory["until"], time.ticks_ms()) <= 0:
        yield "over", None


stop()
join()
report("joined")
state = "waiting"
while True:
    for event, order in events(state):
        if (state, event) in TABLE:
            state, act = TABLE[(state, event)]
            act(order)
            break
    time.sleep_ms(20)
