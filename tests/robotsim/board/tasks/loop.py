import asyncio


async def beat():
    for k in range(3):
        print("beat", k)
        await asyncio.sleep_ms(100)
    asyncio.get_event_loop().stop()


loop = asyncio.get_event_loop()
loop.create_task(beat())
loop.run_forever()
print("stopped")


async def value():
    return 5


print(loop.run_until_complete(value()))
