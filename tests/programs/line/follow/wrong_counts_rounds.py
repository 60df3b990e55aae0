# Ends after sixty rounds.
# criterion: It follows the wave to the stop bar
# mistake: the program ends too soon
import time
from calibrate import black, look, white
from tug import drive, stop

EFFORT = 0.75
KP = 0.05
KD = 0.0015
last = 0
for _ in range(60):
    counts = look()
    dark = [max(0, min(1, (counts[k] - white[k]) / (black[k] - white[k]))) for k in range(4)]
    if min(dark) > 0.5:
        break
    total = sum(dark)
    if total < 0.3:
        position = 24 if last > 0 else -24
    elif total > 2.2:
        position = last
    else:
        position = (18 * dark[0] + 6 * dark[1] - 6 * dark[2] - 18 * dark[3]) / total
    steer = KP * position + KD * (position - last) / 0.04
    last = position
    drive(EFFORT - steer, EFFORT + steer)
    time.sleep_ms(40)
drive(0, 0)
time.sleep_ms(300)
stop()
