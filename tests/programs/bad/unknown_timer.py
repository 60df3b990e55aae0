# kind: ValueError
# shows: invalid Timer number
from machine import Timer

Timer(4)  # here
