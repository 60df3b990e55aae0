# criterion: It turns, and reads the sensor
# mistake: the program does nothing yet
import time
time.sleep(1)
print("turned 90.0")
time.sleep(1)
print("turned -90.0")
