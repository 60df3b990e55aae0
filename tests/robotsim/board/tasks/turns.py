import asyncio


async def count(name, ms, n):
    for k in range(n):
        print(name, k)
        await asyncio.sleep_ms(ms)
    return name


async def main():
    tasks = [asyncio.create_task(count(name, ms, 3)) for name, ms in (("a", 100), ("b", 70), ("c", 70))]
    print("made")
    await asyncio.sleep(0)
    print("went")
    print(await tasks[1], tasks[1].done(), tasks[0].done())
    print(await asyncio.gather(*tasks))
    for k in range(3):
        await asyncio.sleep_ms(0)
        print("turn", k)


print(asyncio.run(main()))
