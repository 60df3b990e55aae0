import asyncio

lock = asyncio.Lock()


async def use(name, ms):
    async with lock:
        print(name, "in")
        await asyncio.sleep_ms(ms)
        print(name, "out")


async def impatient():
    try:
        await asyncio.wait_for_ms(lock.acquire(), 15)
    except asyncio.TimeoutError:
        print("impatient goes")


async def main():
    await asyncio.gather(use("a", 30), use("b", 10), impatient(), use("c", 10))
    print(lock.locked())
    try:
        lock.release()
    except RuntimeError as fault:
        print(fault)


asyncio.run(main())
