# criterion: Both wheels turn ahead
# mistake: the program does nothing yet
import time

time.sleep(1)
