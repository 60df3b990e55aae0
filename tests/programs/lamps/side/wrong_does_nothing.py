# criterion: The lamps are lit
# mistake: the program does nothing yet
import time

time.sleep(1)
