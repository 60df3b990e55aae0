# Follows the line for ever.
# criterion: It stops at the end
# mistake: motors left on
import time
from calibrate import black, look, white
from tug import drive, stop

threshold = [(w + b) / 2 for w, b in zip(white, black)]
drive(0.5, 0.5)
begin = time.ticks_ms()
while True:
    counts = look()
    dark = [counts[k] > threshold[k] for k in range(4)]
    port, starboard = dark[0] + dark[1], dark[2] + dark[3]
    if port > starboard:
        drive(0.28, 0.72)
    elif starboard > port:
        drive(0.72, 0.28)
    time.sleep_ms(40)
stop()
