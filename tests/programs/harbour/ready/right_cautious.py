# Says first what it will do, waits for people to step back, sets off gently, creeps.
import time
from tug import drive, stop
from wireless import join, next_order, report

stop()
time.sleep(1)
join()
report("joined")
print("listening")
state, number, until, effort = "waiting", None, 0, 0.0
while True:
    order = next_order()
    if order and order["speed"] == 0:
        stop()
        state = "waiting"
        print("stopping")
        report("stopped", order.get("number"))
    elif order and state == "waiting":
        number = order.get("number")
        until = time.ticks_add(time.ticks_ms(), int(1000 * order["seconds"]))
        report("started", number)
        print("stand clear")
        state, effort = "driving", 0.0
    if state == "driving":
        if time.ticks_diff(until, time.ticks_ms()) <= 0:
            drive(0, 0)
            time.sleep_ms(200)
            stop()
            state = "waiting"
            report("done", number)
        else:
            effort = min(0.4, effort + 0.04)
            drive(effort, effort)
    time.sleep_ms(50)
