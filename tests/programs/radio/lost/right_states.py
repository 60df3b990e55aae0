# A table of states; each is a function that gives the next one.
import json
from time import sleep_ms, ticks_add, ticks_diff, ticks_ms

from machine import PWM, Pin, unique_id
from network import WLAN
from umqtt.simple import MQTTClient

ме = "tug-%d" % int.from_bytes(unique_id()[2:], "big")
журнал = "harbour/" + ме + "/log"
ножки = [PWM(Pin(n), freq=800, duty_u16=0) for n in (25, 26, 27, 14)]
конец = 0
в_пути = False
радио = None
сеть = WLAN(WLAN.IF_STA)
сеть.active(True)
сеть.connect("harbour", "lighthouse")


def стоп():
    global в_пути
    в_пути = False
    for ножка in ножки:
        ножка.duty_u16(0)


def ход(скорость, секунды):
    global в_пути, конец
    сила = min(65535, int(65535 * (0.18 + 1.85 * abs(скорость))))
    пара = (65535, 65535 - сила) if скорость > 0 else (65535 - сила, 65535)
    for ножка, доля in zip(ножки, пара + пара):
        ножка.duty_u16(доля)
    в_пути, конец = True, ticks_add(ticks_ms(), int(секунды * 1000))


def приказ(тема, текст):
    try:
        что = json.loads(текст)
        if type(что) is not dict or not set(что) <= {"speed", "seconds", "number"}:
            raise ValueError("names")
        if any(type(v) not in (int, float) for v in что.values()):
            raise ValueError("types")
        v, s = что["speed"], что.get("seconds", 0)
        if abs(v) > 0.5 or s < 0 or s > 60 or v and not s:
            raise ValueError("limits")
    except (ValueError, KeyError):
        return
    ход(v, s) if v else стоп()


def ждать():
    стоп()
    return соединить if сеть.isconnected() else ждать


def соединить():
    global радио
    радио = MQTTClient(ме, "office", keepalive=3)
    радио.set_last_will(журнал, b'{"did": "gone"}', False, 1)
    радио.set_callback(приказ)
    try:
        радио.connect()
        радио.subscribe("harbour/" + ме + "/order", 1)
        радио.publish(журнал, b'{"did": "joined"}', qos=1)
    except OSError:
        return ждать
    return служить


круг = 0


def служить():
    global круг
    if not сеть.isconnected():
        return ждать
    круг += 1
    try:
        радио.check_msg()
        if круг % 40 == 0:
            радио.ping()
    except OSError:
        return ждать
    if в_пути and ticks_diff(конец, ticks_ms()) <= 0:
        стоп()
    return служить


дело = ждать
while True:
    дело = дело()
    sleep_ms(20)
