# criterion: It obeys orders to move
import time

from machine import PWM, Pin

pins = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]
time.sleep(3.7)
for effort in (0.5, -0.4):
    for ahead, back in ((pins[0], pins[1]), (pins[2], pins[3])):
        if effort < 0:
            ahead, back = back, ahead
        ahead.duty_u16(65535)
        back.duty_u16(int(65535 * (1 - abs(effort))))
    time.sleep(2)
    for pin in pins:
        pin.duty_u16(0)
    time.sleep(1)
