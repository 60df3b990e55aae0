import json
import time

import network
from machine import PWM, Pin, unique_id
from umqtt.simple import MQTTClient

имя = "tug-%d" % int.from_bytes(unique_id()[2:], "big")
приказы = ("harbour/%s/order" % имя).encode()
журнал = ("harbour/%s/log" % имя).encode()

выводы = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]
очередь = []


def ход(усилие):
    for вперёд, назад in ((0, 1), (2, 3)):
        выводы[вперёд].duty_u16(65535 if усилие else 0)
        выводы[назад].duty_u16(int(65535 * (1 - усилие)) if усилие else 0)


def сообщить(что, **ещё):
    ещё["did"] = что
    связь.publish(журнал, json.dumps({k: v for k, v in ещё.items() if v is not None}), qos=1)


def понять(текст):
    приказ = json.loads(текст)
    if type(приказ) is not dict:
        raise ValueError("это не приказ")
    for слово, число in приказ.items():
        if слово not in ("speed", "seconds", "number") or type(число) not in (int, float):
            raise ValueError("непонятно: " + слово)
    if "speed" not in приказ or not -0.5 <= приказ["speed"] <= 0.5:
        raise ValueError("скорость")
    if приказ["speed"] and not 0 < приказ.get("seconds", 0) <= 60:
        raise ValueError("время")
    return приказ


станция = network.WLAN(network.WLAN.IF_STA)
станция.active(True)
станция.connect("harbour", "lighthouse")
while not станция.isconnected():
    time.sleep_ms(50)
связь = MQTTClient(имя, "office", keepalive=30)
связь.set_callback(lambda тема, текст: очередь.append(текст))
связь.set_last_will(журнал, b'{"did": "gone"}', qos=1)
связь.connect()
связь.subscribe(приказы, 1)
сообщить("joined")

номер, конец = None, None
звонок = time.ticks_ms()
while True:
    связь.check_msg()
    сейчас = time.ticks_ms()
    if time.ticks_diff(сейчас, звонок) > 10000:
        связь.ping()
        звонок = сейчас
    while очередь:
        try:
            приказ = понять(очередь.pop(0))
        except ValueError as беда:
            сообщить("refused", why=str(беда))
            continue
        if not приказ["speed"]:
            ход(0)
            конец = None
            сообщить("stopped", number=приказ.get("number"))
        elif конец is None:
            ход(0.5)
            номер = приказ.get("number")
            конец = time.ticks_add(сейчас, int(приказ["seconds"] * 1000))
            сообщить("started", number=номер)
    if конец is not None and time.ticks_diff(конец, time.ticks_ms()) <= 0:
        ход(0)
        конец = None
        сообщить("done", number=номер)
    time.sleep_ms(20)
