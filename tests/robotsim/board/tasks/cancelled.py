import asyncio


async def long(name):
    try:
        print(name, "begins")
        await asyncio.sleep(1)
    except asyncio.CancelledError:
        print(name, "cancelled")
        raise
    finally:
        print(name, "cleans up")


async def stubborn():
    try:
        await asyncio.sleep(1)
    except asyncio.CancelledError:
        print("never mind")
    return "done"


async def main():
    one, two = asyncio.create_task(long("one")), asyncio.create_task(stubborn())
    await asyncio.sleep_ms(10)
    print(one.cancel(), two.cancel())
    try:
        await one
    except asyncio.CancelledError:
        print("one is gone")
    print(await two, one.done(), two.done(), one.cancel())
    early = asyncio.create_task(long("early"))
    early.cancel()
    try:
        await early
    except asyncio.CancelledError:
        print("never began")
    try:
        asyncio.current_task().cancel()
    except RuntimeError as fault:
        print(fault)


asyncio.run(main())
