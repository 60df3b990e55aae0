import time

print("ahoy"
time.sleep(1)
