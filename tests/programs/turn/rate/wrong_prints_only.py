# criterion: It turns both ways and prints rates
# mistake: nothing read from the sensor
import time
for value in (150, 0, -150, 0):
    for k in range(10):
        time.sleep_ms(100)
        print("rate", value)
