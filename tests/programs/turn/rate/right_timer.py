# A timer prints; the main program only changes the motors.
from machine import I2C, Pin, PWM, Timer
import time

bus = I2C(1, scl=Pin(22), sda=Pin(21), freq=100000)
bus.writeto(0x68, b"\x6b\x00")
bus.writeto(0x68, b"\x1b\x08")
time.sleep(0.05)
pair = bytearray(2)


def look():
    bus.readfrom_mem_into(0x68, 0x47, pair)
    number = pair[0] << 8 | pair[1]
    return (number & 0x7FFF) - (number & 0x8000)


state = {"zero": sum([(look(), time.sleep_ms(6))[0] for _ in range(80)]) / 80}


def tell(_):
    print("rate %.1f deg/s" % ((look() - state["zero"]) / 65.5))


fast = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (27, 26, 25, 14)]
clock = Timer(2)
clock.init(period=90, mode=Timer.PERIODIC, callback=tell)
time.sleep_ms(600)
for a, b in ((0, 1), (2, 3)):
    fast[a].duty_u16(30000)
    fast[b].duty_u16(30000)
    time.sleep_ms(1200)
    fast[a].duty_u16(0)
    fast[b].duty_u16(0)
    time.sleep_ms(700)
clock.deinit()
for pwm in fast:
    pwm.deinit()
