# criterion: It turns, and reads the sensor
# mistake: nothing read from the sensor
import time
time.sleep(1)
print("turned 90.0")
time.sleep(1)
print("turned -90.0")
