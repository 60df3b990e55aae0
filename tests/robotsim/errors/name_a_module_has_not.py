from time import sleep_sec
