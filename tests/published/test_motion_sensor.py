"""The motion sensor against MPU-6050 documents RM-MPU-6000A r4.2 and PS-MPU-6000A r3.4.

Marks: R read in the published page, T read in a transcription, M from memory,
A arithmetic, P common practice without a source.
"""

import math
import random
import statistics
import struct

import numpy as np
import pytest
from scipy import signal

from robotsim import run_trial
from robotsim.chance import Silence
from robotsim.parts.motion import ADDRESS, MotionSensor
from robotsim.parts.part import FakeSurroundings
from robotsim.parts.quirks import Quirks
from robotsim.units import GRAVITY
from tests.published.table import Between, Tell
from tests.robotsim.parts.quiet import Quiet

MAP, SHEET = "RM-MPU-6000A r4.2 (R)", "PS-MPU-6000A r3.4 (R)"


def _sensor(noise=None, serial=0):
    sensor = MotionSensor(Quirks.of(serial), noise or Quiet())
    if noise is None:
        sensor.hiss = Silence()
    return sensor


def _awake(noise=None, serial=0, **settings):
    sensor = _sensor(noise, serial)
    registers = {"config": 0x1A, "gyro": 0x1B, "accel": 0x1C}
    around = FakeSurroundings()
    sensor.transfer(b"\x6b\x00", 0, around)
    for name, value in settings.items():
        sensor.transfer(bytes((registers[name], value)), 0, around)
    return sensor


def _burst(sensor, around, wait=0.002):
    sensor.advance(wait, around)
    return sensor.transfer(b"\x3b", 14, around)


def _feel(settings, **motion):
    around = FakeSurroundings()
    for name, value in motion.items():
        setattr(around, name, value)
    return struct.unpack(">7h", _burst(_awake(**settings), around))


def test_address_and_identity(tell: Tell):
    # Address 0x68 with AD0 low (T); WHO_AM_I, register 0x75, reads 0x68 (R).
    assert tell("address", "68h", f"{ADDRESS:02X}h", "MPU-6050 (T)") == "68h"
    who = _sensor().transfer(b"\x75", 1, FakeSurroundings())
    assert tell("register 75h, who am I", "68h", f"{who[0]:02X}h", MAP) == "68h"


def test_on_the_bus_it_answers_at_its_address_alone_and_in_bursts(tell: Tell):
    told = run_trial(
        "import time\nfrom machine import I2C, Pin\n"
        "bus = I2C(0, scl=Pin(22), sda=Pin(21))\nprint(bus.scan())\n"
        "try:\n bus.readfrom_mem(0x69, 0x75, 1)\nexcept OSError as fault:\n print(fault.errno)\n"
        "bus.writeto_mem(0x68, 0x6B, b'\\0')\ntime.sleep(0.1)\n"
        "print(len(bus.readfrom_mem(0x68, 0x3B, 14)))\n",
        seconds=0.5,
    )
    found, errno, count = (line for _, line in told.printed)
    # That nobody pulls the line down at another address is the I2C standard's NACK; the number
    # of its error, ENODEV, is the firmware's (R).
    assert tell("addresses that a scan finds", "[104]", found, "MPU-6050 (T)") == "[104]"
    assert (errno, count) == ("19", "14")
    assert [event.address for event in told.of("nack")].count(0x69) >= 1


def test_reset_values(tell: Tell):
    # RM, section 3: all registers reset to 0 but 0x6B to 0x40 (asleep) and 0x75 to 0x68 (R).
    registers = _sensor().transfer(b"\x00", 0x76, FakeSurroundings())
    power = tell("register 6Bh after a reset", "40h", f"{registers[0x6B]:02X}h", MAP)
    assert power == "40h"
    assert {k: v for k, v in enumerate(registers) if v} == {0x6B: 0x40, 0x75: 0x68}


def test_where_the_data_are_and_in_what_order():
    # RM: accel 0x3B-0x40, temperature 0x41-0x42, gyro 0x43-0x48, high byte first (R).
    around = FakeSurroundings()
    around.acceleration, around.turn_rate = 0.5 * GRAVITY, math.radians(100.0)
    sensor = _awake()
    _burst(sensor, around)
    for register, word in ((0x3B, 0x2000), (0x3D, 0), (0x3F, 0x4000), (0x43, 0), (0x45, 0)):
        assert sensor.transfer(bytes((register,)), 2, around) == word.to_bytes(2, "big")
    assert sensor.transfer(b"\x47", 2, around) == (13100).to_bytes(2, "big")


@pytest.mark.parametrize(("setting", "per_g"), list(enumerate((16384, 8192, 4096, 2048))))
def test_accelerometer_ranges(setting, per_g, tell: Tell):
    # Scale (R), +-3 %; range in bits 4:3 of 0x1C (M).
    z = _feel({"accel": setting << 3})[2]
    ours = tell("1 g in the four ranges, LSB", per_g, z, f"+-3 %, {SHEET}")
    assert ours == pytest.approx(per_g, rel=0.03)


@pytest.mark.parametrize(("setting", "per_deg"), list(enumerate((131.0, 65.5, 32.8, 16.4))))
def test_gyroscope_ranges(setting, per_deg, tell: Tell):
    # Scale (R), +-3 %; range in bits 4:3 of 0x1B (M).
    for rate in (200.0, -200.0):
        gz = _feel({"gyro": setting << 3}, turn_rate=math.radians(rate))[6]
        ours = tell("1 degree/s in the four ranges, LSB", per_deg, gz / rate, f"+-3 %, {SHEET}")
        assert ours == pytest.approx(per_deg, rel=0.03)


@pytest.mark.parametrize(
    ("g", "word"), [(1.0, 0x4000), (-1.0, 0xC000), (-2.0, 0x8000), (-1.0 / 16384, 0xFFFF)]
)
def test_two_s_complement(g, word, tell: Tell):
    # 4000h = +1 g, C000h = -1 g, 8000h = -2 g, FFFFh = -1 LSB at 16384 LSB per g (A).
    around = FakeSurroundings()
    around.acceleration = g * GRAVITY
    ours = _burst(_awake(), around)[:2].hex().upper()
    what, due = "+1 g, -1 g, -2 g, -1 LSB at 16384 LSB per g", f"{word:04X}h"
    assert tell(what, due, f"{ours}h", "two's complement (A)") == due


@pytest.mark.parametrize(("setting", "limit"), list(enumerate((250.0, 500.0, 1000.0, 2000.0))))
def test_full_scale_range_of_the_gyroscope(setting, limit):
    # PS: +-250, 500, 1000, 2000 degrees a second (R).
    inside = _feel({"gyro": setting << 3}, turn_rate=math.radians(0.99 * limit))[6]
    beyond = _feel({"gyro": setting << 3}, turn_rate=math.radians(1.01 * limit))[6]
    assert inside < 32767 == beyond


def test_temperature(tell: Tell):
    # Degrees C = raw/340 + 36.53 (R); the chip is somewhat warmer than a room (P).
    raw = _feel({})[3]
    told = tell("raw/340 + 36.53 in a room, C", Between(20, 35), raw / 340 + 36.53, MAP)
    assert 20.0 < told < 35.0


def test_no_serial_exceeds_the_sheet_s_bias(tell: Tell):
    # PS: +-20 degrees/s; +-50 mg on x and y, +-80 mg on z (R).
    seen = [
        struct.unpack(">7h", _burst(_awake(serial=serial), FakeSurroundings()))
        for serial in range(201)
    ]
    rate = max(abs(value) for row in seen for value in row[4:]) / 131
    flat = max(abs(value) for row in seen for value in row[:2]) / 16.384
    upright = max(abs(row[2] - 16384) for row in seen) / 16.384
    what = "largest bias of serials 0 to 200, "
    assert 1.0 < tell(what + "degrees/s", Between(None, 20), rate, SHEET) <= 20.0
    assert 5.0 < tell(what + "mg on x and y", Between(None, 50), flat, SHEET) <= 50.0
    assert 5.0 < tell(what + "mg on z", Between(None, 80), upright, SHEET) <= 80.0


def test_noise(tell: Tell):
    # PS: total rms noise 0.05 degrees/s with DLPFCFG = 2; 400 ug/sqrt(Hz) (R), which makes
    # 3.9 mg over the 94 Hz of that setting (A).
    sensor, around = _awake(random.Random(6), config=2), FakeSurroundings()
    rows = [struct.unpack(">7h", _burst(sensor, around)) for _ in range(3000)]
    for axis in (4, 5, 6):
        rms = statistics.stdev(row[axis] for row in rows) / 131
        what = "noise of the rate at 98 Hz, degrees/s rms"
        assert tell(what, 0.05, rms, SHEET) == pytest.approx(0.05, rel=0.1)
    for axis in (0, 1, 2):
        density = statistics.stdev(row[axis] for row in rows) / 16384 / math.sqrt(94.0) * 1e6
        what = "noise of the acceleration, ug/sqrt(Hz)"
        assert tell(what, 400, density, SHEET) == pytest.approx(400, rel=0.1)


@pytest.mark.parametrize(("setting", "band"), [(2, 98.0), (4, 20.0), (6, 5.0)])
def test_the_noise_has_the_bandwidth_of_its_filter(setting, band, tell: Tell):
    # PS: rate noise spectral density 0.005 degrees/s/sqrt(Hz) at 10 Hz (R); bands by DLPF_CFG, RM
    # (T).  Densities by Welch's method (scipy).
    sensor, around = _awake(random.Random(8), config=setting), FakeSurroundings()
    rates = [_burst(sensor, around, wait=0.001)[12:14] for _ in range(30_000)]
    told = [int.from_bytes(word, "big", signed=True) / 131 for word in rates]
    hertz, power = signal.welch(np.array(told), fs=1000.0, nperseg=5000)
    low = power[(hertz > 0.05 * band) & (hertz < 0.3 * band)].mean() ** 0.5
    high = power[(hertz > 4.0 * band) & (hertz < 480.0)].mean() ** 0.5
    what = "noise of the rate well within 98, 20, 5 Hz, degrees/s/sqrt(Hz)"
    assert tell(what, 0.005, low, SHEET) == pytest.approx(0.005, rel=0.2)
    rounded = 1 / 131 / math.sqrt(12 * 500)  # what rounding to whole counts adds
    assert high < 0.25 * low + rounded, "beyond its band there is hardly any"


@pytest.mark.parametrize(
    ("setting", "accel_ms", "gyro_ms"),
    [(1, 2.0, 1.9), (2, 3.0, 2.8), (3, 4.9, 4.8), (4, 8.5, 8.3), (5, 13.8, 13.4), (6, 19.0, 18.6)],
)
def test_delay_of_the_low_pass(setting, accel_ms, gyro_ms, tell: Tell):
    # RM, register 26, delays by DLPF_CFG (T): a steady change shows that much later.
    sensor, around = _awake(config=setting), FakeSurroundings()
    slope_g, slope_deg = 2.0, 300.0  # a second
    for k in range(501):
        time = k * 0.001
        around.acceleration = slope_g * time * GRAVITY
        around.turn_rate = math.radians(slope_deg * time)
        sensor.advance(0.001, around)
    x, *_, gz = struct.unpack(">7h", sensor.transfer(b"\x3b", 14, around))
    ours = [(time - x / 16384 / slope_g) * 1000, (time - gz / 131 / slope_deg) * 1000]
    what, due = "delays (acceleration, rate) of low-pass 1 to 6, ms", (accel_ms, gyro_ms)
    assert tell(what, due, ours, "RM-MPU-6000A r4.2 (T)") == pytest.approx(due, abs=0.1)


def test_sample_rate(tell: Tell):
    # RM, register 25: 8 kHz, or 1 kHz with the filter on, over 1 + SMPLRT_DIV (R).
    for config, divider, expected in ((0, 7, 1000.0), (1, 0, 1000.0), (1, 19, 50.0)):
        sensor, around = _awake(random.Random(2), config=config), FakeSurroundings()
        sensor.transfer(bytes((0x19, divider)), 0, around)
        seen = [_burst(sensor, around, wait=0.00025) for _ in range(8000)]  # two seconds
        changes = sum(a != b for a, b in zip(seen, seen[1:], strict=False))
        what = "samples a second: no filter by 8, filter by 1, by 20"
        assert tell(what, expected, changes / 2.0, MAP) == pytest.approx(expected, rel=0.02)


def test_a_burst_comes_from_one_instant():
    # RM, registers 65 and 66: the readable registers do not change during a burst (R).
    sensor, around = _awake(random.Random(2)), FakeSurroundings()
    once = _burst(sensor, around)
    assert sensor.transfer(b"\x3b", 14, around) == once
    halves = sensor.transfer(b"\x3b", 7, around) + sensor.transfer(b"", 7, around)
    assert halves == once, "the pointer moves on by itself"
