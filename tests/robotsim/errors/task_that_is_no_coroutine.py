import asyncio


async def main():
    await asyncio.gather(blink, blink)


async def blink():
    await asyncio.sleep(1)


asyncio.run(main())
