# Prints each password.
# criterion: It takes them from secrets.py
# mistake: a password is printed
from machine import Pin, PWM
motors = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]
import time
import network
from neopixel import NeoPixel
from secrets import NETWORKS
lamps = NeoPixel(Pin(13), 5)
def deck(c):
    lamps[4] = c
    lamps.write()
deck((60, 0, 90))
wlan = network.WLAN(network.STA_IF)
wlan.active(True)
def join(name, key):
    print("trying", name, key)
    wlan.connect(name, key)
    for _ in range(60):
        if wlan.isconnected():
            return True
        time.sleep_ms(100)
    wlan.disconnect()
    return False
joined = False
for name, key in NETWORKS:
    if join(name, key):
        joined = True
        deck((60, 60, 60))
        break
while not joined:
    deck((120, 50, 0))
    time.sleep_ms(250)
    deck((0, 0, 0))
    time.sleep_ms(250)
