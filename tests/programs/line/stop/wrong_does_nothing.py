# criterion: It follows the line to the bar
# mistake: the program does nothing yet
import time

time.sleep(1)
