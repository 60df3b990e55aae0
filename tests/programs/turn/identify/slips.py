"""Slips of `turn.identify`."""

from tests.checks.slips import Slip, drop, exact, put

WHO, WAKES, TELLS, RAW = (
    "It asks the sensor who it is",
    "It wakes the sensor first",
    "It prints address and identity",
    "It prints one raw rate, with its sign",
)
SLIPS = (
    Slip(
        "does not wake it", "sensor still asleep", (WAKES, RAW),
        drop(r"writeto_mem\("), drop(r"tell\(0x6B, 0x01\)"),
    ),
    Slip(
        "waits 20 ms after waking", "read before it had settled", (WAKES,),
        put(r"sleep_ms\(100\)", "sleep_ms(20)"), put(r"period=500", "period=20"),
        put(r"sleep\(0\.1\)$", "sleep(0.02)"),
    ),
    Slip(
        "does not wait after waking", "read before it had settled", (WAKES,),
        drop(r"sleep_ms\(100\)"), drop(r"sleep\(0\.1\)"),
    ),
    Slip(
        "exchanges the bytes", "bytes swapped", (RAW,),
        put('">h"', '"<h"'), put(r"high, low = ", "low, high = "),
        put(r"everything\[12\] << 8 \| everything\[13\]", "everything[13] << 8 | everything[12]"),
    ),
    Slip(
        "forgets the sign", "two's complement forgotten", (RAW,),
        put('">h"', '">H"'), drop(r"raw -= 65536"), put(r" - \(\(value & 0x8000\) << 1\)", ""),
        put(r"\(πάνω if πάνω < 128 else πάνω - 256\)", "πάνω"),
        put(r"\(buffer\[0\] \^ 0x80\) \* 256 \+ buffer\[1\] - 32768", "buffer[0] * 256 + buffer[1]"),
    ),
    Slip(
        "takes half of 65536 off", "two's complement forgotten", (RAW,),
        put(r"raw -= 65536", "raw -= 32768"),
        put(r"\(\(value & 0x8000\) << 1\)", "(value & 0x8000)"),
    ),
    Slip(
        "asks the address's number for the identity", "identity asked of the wrong register",
        (WHO, TELLS), put(r"0x75", "0x68"), put(r"\b117\b", "104"),
    ),
    Slip(
        "reads the rate about x", "wrong axis", (RAW,),
        put(r"0x47", "0x43"), put(r"\b71\b", "67"),
    ),
    Slip(
        "leaves the words out", "a line is missing or reads otherwise", (TELLS, RAW),
        put(r'print\("(address|identity|raw)", ', "print("), put(r'"(address|identity|raw): ', '"'),
    ),
    Slip(
        "prints degrees a second", "a number that did not come from the sensor", (RAW,),
        put(r'print\("raw", raw\)', 'print("raw", raw / 131)'),
        put(r'print\("raw", number\)', 'print("raw", number / 131)'),
    ),
    Slip(
        "loses the sign", "the sign is lost", (RAW,),
        put(r'print\("raw", (raw|number)\)', r'print("raw", abs(\1))'),
        put(r'"raw: %d" % gyro\.raw', '"raw: %d" % abs(gyro.raw)'),
    ),
    Slip("asks at 0x69", "nobody at that address", (WHO,), put(r"^SENSOR = 0x68", "SENSOR = 0x69")),
    Slip("writes the register as a decimal number", "rate asked of the wrong register",
         ("It prints one raw rate, with its sign",),
         exact(("high, low = bus.readfrom_mem(SENSOR, 0x47, 2)", "high, low = bus.readfrom_mem(SENSOR, 47, 2)"))),
)  # fmt: skip
