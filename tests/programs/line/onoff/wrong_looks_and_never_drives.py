# It looks for as long as is asked, and no branch of its loop drives.
# criterion: It goes round the quay
# mistake: it does not set off
from calibrate import black, look, white
from tug import drive, stop
import time

threshold = [(w + b) / 2 for w, b in zip(white, black)]
begin = time.ticks_ms()
while time.ticks_diff(time.ticks_ms(), begin) < 12000:
    dark = [count > middle for count, middle in zip(look(), threshold)]
    if dark[0] or dark[1]:
        pass
    elif dark[2] or dark[3]:
        pass
    time.sleep_ms(40)
stop()
