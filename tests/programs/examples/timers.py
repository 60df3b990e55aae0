# Three timers at once: they count, print, stop each other and start anew.
import time
from machine import Pin, Timer

led = Pin(2, Pin.OUT)
count = {"fast": 0, "slow": 0}


def fast(timer):
    count["fast"] += 1
    led.toggle()


def slow(timer):
    count["slow"] += 1
    print("slow", count["slow"], time.ticks_ms())
    if count["slow"] == 3:
        timer.deinit()


def once(timer):
    print("once", count["fast"])
    quick.init(period=10, callback=fast)


quick = Timer(0, freq=50, callback=fast)
Timer(1, mode=Timer.PERIODIC, period=130, callback=slow)
Timer(2, mode=Timer.ONE_SHOT, period=300, callback=once)
for _ in range(4):
    time.sleep_ms(125)
    print("main", count["fast"], count["slow"])
quick.deinit()
time.sleep(0.1)
print("end", sorted(count.items()))
