# kind: none
# shows: 
# ended: time is up
# seconds: 0.2
from machine import unique_id

while True:
    unique_id()
