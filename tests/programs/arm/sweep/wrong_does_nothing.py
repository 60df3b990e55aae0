# criterion: the arm goes to both sides
# mistake: the program does nothing yet
import time

time.sleep(6)
