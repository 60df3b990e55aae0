# criterion: the servo hears its pulses
# mistake: the program does nothing yet
import time

time.sleep(3)
