# Looks at the clock: a loop that keeps time by ticks, and the time that things take.
import time

start = time.ticks_ms()
due = start
while time.ticks_diff(time.ticks_ms(), start) < 300:
    due = time.ticks_add(due, 50)
    while time.ticks_diff(due, time.ticks_ms()) > 0:
        time.sleep_us(700)
    print(time.ticks_diff(time.ticks_ms(), start))

before = time.ticks_us()
print("a line")
print(time.ticks_diff(time.ticks_us(), before), "us for a line")
print(time.ticks_add(2**30 - 1, 1), time.ticks_diff(3, 2**30 - 2), time.time(), time.ticks_cpu() > 0)
