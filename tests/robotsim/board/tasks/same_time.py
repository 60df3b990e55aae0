import asyncio


async def once(name, ms):
    await asyncio.sleep_ms(ms)
    print(name)


async def main():
    await asyncio.gather(*[once(n, 50) for n in "abcdefgh"])
    await asyncio.gather(*[once(n, 50 - 10 * k) for k, n in enumerate("abcd")], once("e", 30))
    for n in "xyz":
        asyncio.create_task(once(n, 0))
    await asyncio.sleep_ms(5)
    print("end")


asyncio.run(main())
