# kind: TypeError
# shows: can't convert str to float
import time

time.sleep("1")  # here
