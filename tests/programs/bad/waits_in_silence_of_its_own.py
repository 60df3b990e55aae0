# kind: none
# shows: 
# ended: time is up
import time

time.sleep(10**30)
