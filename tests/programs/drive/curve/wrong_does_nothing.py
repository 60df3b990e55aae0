# criterion: It turns to port
# mistake: the program does nothing yet
import time

time.sleep(3)
