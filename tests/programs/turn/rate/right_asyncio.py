# Two tasks that take turns: one prints, one changes the motors.
import asyncio
import time
from machine import I2C, PWM, Pin

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
motors = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]


def spin(effort):
    for (ahead, back), e in zip((motors[:2], motors[2:]), (-effort, effort)):
        ahead.duty_u16(int(65535 * min(1, 1 + e)))
        back.duty_u16(int(65535 * min(1, 1 - e)))


def raw():
    high, low = bus.readfrom_mem(0x68, 0x47, 2)
    return ((256 * high + low) ^ 0x8000) - 0x8000


async def tell(zero):
    while True:
        await asyncio.sleep_ms(100)
        print("rate", round((raw() - zero) / 131, 1))


async def main():
    bus.writeto_mem(0x68, 0x6B, bytes([0]))
    await asyncio.sleep_ms(100)
    zero = 0
    for _ in range(100):
        zero += raw() / 100
        await asyncio.sleep_ms(5)
    teller = asyncio.create_task(tell(zero))
    for effort in (0.4, 0, -0.4, 0):
        spin(effort)
        await asyncio.sleep(1)
    teller.cancel()
    for motor in motors:
        motor.duty_u16(0)


asyncio.run(main())
