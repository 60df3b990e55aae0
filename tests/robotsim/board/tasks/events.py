import asyncio

event = asyncio.Event()


async def waiter(name):
    print(name, "waits", event.is_set())
    await event.wait()
    print(name, "has it")


async def main():
    tasks = [asyncio.create_task(waiter(n)) for n in "abc"]
    await asyncio.sleep_ms(20)
    event.set()
    event.clear()
    await asyncio.sleep_ms(20)
    print(event.is_set())
    event.set()
    await waiter("d")
    await asyncio.gather(*tasks)


asyncio.run(main())
