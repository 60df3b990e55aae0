# Everything that the tug can feel: eyes, battery, bumper, motion sensor.
import time
from machine import ADC, I2C, PWM, Pin

eyes = [ADC(Pin(number), atten=ADC.ATTN_11DB) for number in (36, 39, 34, 35)]
battery = ADC(Pin(33), atten=ADC.ATTN_11DB)
bumper = Pin(19, Pin.IN, Pin.PULL_UP)
bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400_000)
print([hex(address) for address in bus.scan()])
print(bus.readfrom_mem(0x68, 0x75, 1), bus.readfrom_mem(0x68, 0x6B, 1))
bus.writeto_mem(0x68, 0x6B, b"\x00")
left, right = PWM(Pin(25), freq=1000, duty=900), PWM(Pin(27), freq=1000, duty=700)
for _ in range(8):
    time.sleep_ms(100)
    print([eye.read() for eye in eyes], battery.read_uv(), bumper.value())
    print(bus.readfrom_mem(0x68, 0x43, 6))
try:
    bus.readfrom(0x42, 1)
except OSError as fault:
    print(fault.args[0])
