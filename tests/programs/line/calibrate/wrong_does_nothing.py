# criterion: Every eye sees paper and line
# mistake: the program does nothing yet
import time

time.sleep(1)
