# criterion: The mast signals: two short, one long
# mistake: the program does nothing yet
import time

while True:
    time.sleep(1)
