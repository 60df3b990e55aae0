import time

sleep(1)
