# Two tasks: one gives the orders, the other waits until they are done.
import asyncio
from machine import PWM, Pin

arm = PWM(Pin(18), freq=50, duty_u16=0)
done = asyncio.Event()


async def orders():
    arm.duty_ns(1_000_000)
    await asyncio.sleep(1)
    arm.duty_u16(4915)
    await asyncio.sleep(1)
    arm.duty(94)
    await asyncio.sleep(1)
    done.set()


async def main():
    asyncio.create_task(orders())
    await done.wait()


asyncio.run(main())
arm.duty_u16(0)
