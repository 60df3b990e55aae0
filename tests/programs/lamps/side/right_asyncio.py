# tune: RED_FIRST red_first 0 1
# One task for each lamp; they are lit one after the other, all in the first 300 ms.
import asyncio

from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
np = NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)


async def light(lamp, colour):
    await asyncio.sleep_ms(60 * lamp)
    np[lamp] = colour
    np.write()


async def main():
    white = (72, 80, 76)
    await asyncio.gather(
        light(0, (48, 4, 0)), light(1, (0, 60, 4)), light(2, white), light(3, white),
        light(4, (110, 42, 4)),
    )


asyncio.run(main())
