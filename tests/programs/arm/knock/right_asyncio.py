# A coroutine that moves, and one that counts the seconds aloud.
import asyncio
from machine import PWM, Pin

arm = PWM(Pin(18), freq=50, duty_u16=0)


async def count():
    for number in range(3, 0, -1):
        print(number)
        await asyncio.sleep_ms(450)


async def knock():
    arm.duty_ns(1_020_000)
    await count()
    arm.duty_ns(1_990_000)
    await asyncio.sleep_ms(600)
    arm.duty_ns(1_500_000)


asyncio.run(knock())
