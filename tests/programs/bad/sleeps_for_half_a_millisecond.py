# kind: TypeError
# shows: can't convert float to int
import time

time.sleep_ms(0.5)  # here
