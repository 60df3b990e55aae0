# kind: none
# shows: 
# ended: time is up
# seconds: 0.2
import time
from machine import Timer

Timer(0, freq=1_000_000, callback=lambda timer: None)
while True:
    time.sleep_ms(1)
