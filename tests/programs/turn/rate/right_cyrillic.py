# Генератор отдаёт среднее из десяти чтений; имена другим алфавитом.
from machine import Pin, PWM, I2C
from time import sleep_ms

шина = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
шина.writeto_mem(0x68, 0x6B, b"\x00")
шина.writeto_mem(0x68, 0x1B, b"\x10")
sleep_ms(60)
моторы = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]


def сырое():
    старший, младший = шина.readfrom_mem(0x68, 0x47, 2)
    return ((старший ^ 128) - 128) * 256 + младший


def средние(сколько):
    while True:
        всего = 0
        for _ in range(сколько):
            всего += сырое()
            sleep_ms(8)
        yield всего / сколько / 32.8


поток = средние(10)
ноль = sum([next(поток) for _ in range(8)]) / 8
ПОЛНЫЙ = 65535
for уровни in ((0, 0, 0, 0), (0, 27000, 27000, 0), (0, 0, 0, 0), (27000, 0, 0, 27000), (0, 0, 0, 0)):
    for мотор, уровень in zip(моторы, уровни):
        мотор.duty_u16(уровень)
    for _ in range(9):
        print("rate %.1f" % (next(поток) - ноль))
