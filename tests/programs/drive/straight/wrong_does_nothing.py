# criterion: It makes way ahead
# mistake: the program does nothing yet
import time

time.sleep(4)
