import asyncio


async def slow(ms):
    try:
        await asyncio.sleep_ms(ms)
    except asyncio.CancelledError:
        print("slow is stopped")
        raise
    return ms


async def bad():
    await asyncio.sleep_ms(5)
    raise ValueError("bad")


async def main():
    print(await asyncio.wait_for(slow(20), 1))
    print(await asyncio.wait_for(slow(20), None))
    try:
        await asyncio.wait_for_ms(slow(200), 50)
    except asyncio.TimeoutError:
        print("too slow")
    try:
        await asyncio.wait_for_ms(bad(), 50)
    except ValueError as fault:
        print(fault)
    outer = asyncio.create_task(asyncio.wait_for(slow(500), 5))
    await asyncio.sleep_ms(10)
    outer.cancel()
    try:
        await outer
    except asyncio.CancelledError:
        print("outer is gone")
    await asyncio.sleep_ms(10)


asyncio.run(main())
