import asyncio


async def fail(ms, text):
    await asyncio.sleep_ms(ms)
    raise ValueError(text)


async def well(ms):
    await asyncio.sleep_ms(ms)
    print("well", ms)
    return ms


def handler(loop, context):
    print("handler:", context["message"], repr(context["exception"]))


async def main():
    asyncio.get_event_loop().set_exception_handler(handler)
    try:
        await asyncio.gather(well(30), fail(10, "first"), fail(20, "second"))
    except ValueError as fault:
        print(fault)
    await asyncio.sleep_ms(50)
    print(await asyncio.gather(well(5), fail(1, "kept"), return_exceptions=True))
    task = asyncio.create_task(fail(1, "heard"))
    await asyncio.sleep_ms(5)
    lone = asyncio.create_task(fail(1, "unheard"))
    await asyncio.sleep_ms(20)
    print(task.done(), lone.done())
    raise OSError(5)


try:
    asyncio.run(main())
except OSError as fault:
    print("run raises", fault)
