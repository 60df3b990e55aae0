import time

time.sleep_ms(0.5)
