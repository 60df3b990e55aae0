# criterion: It follows the wave to the stop bar
# mistake: the program does nothing yet
import time

time.sleep(1)
