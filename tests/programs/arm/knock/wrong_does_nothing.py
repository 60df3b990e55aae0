# criterion: the float ends in the dock
# criterion: the hull keeps clear
# criterion: the arm is stowed
# mistake: the program does nothing yet
import time

time.sleep(4)
