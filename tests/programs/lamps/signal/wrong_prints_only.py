# criterion: The mast signals: two short, one long
# mistake: nothing is sent to the lamps
import time

n = 0
while True:
    n += 1
    print("signal %d: two short, one long" % n)
    time.sleep(4)
