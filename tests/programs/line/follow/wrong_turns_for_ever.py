# criterion: It follows the wave to the stop bar
# Names in Cyrillic; a timer steers 50 times a second, the gains in whole numbers.
import time
from machine import ADC, PWM, Pin, Timer

глаза = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
моторы = [PWM(Pin(n), freq=1000, duty=0) for n in (25, 26, 27, 14)]
свет, тьма = [4095] * 4, [0] * 4
место, прежнее, конец = 0, 0, False


def тяга(лево, право):
    for k, x in ((0, лево), (2, право)):
        x = max(-1023, min(1023, x))
        моторы[k].duty(min(1023, 1023 + x))
        моторы[k + 1].duty(min(1023, 1023 - x))


def учиться(таймер):
    for k, глаз in enumerate(глаза):
        n = глаз.read()
        свет[k], тьма[k] = min(свет[k], n), max(тьма[k], n)


def править(таймер):
    global место, прежнее, конец
    доли = [1000 * (глаз.read() - с) // (т - с) for глаз, с, т in zip(глаза, свет, тьма)]
    всего = sum(доли)
    if min(доли) > 500:
        конец = True
        таймер.deinit()
        тяга(0, 0)
        return
    if 300 < всего < 2500:
        место = (180 * (доли[0] - доли[3]) + 60 * (доли[1] - доли[2])) // всего
    поворот = 4 * место + 3 * (место - прежнее)
    прежнее = место
    тяга(-400, 400)


часы = Timer(1, period=10, callback=учиться)
for сторона, мс in ((-410, 340), (410, 680), (-410, 340)):
    тяга(сторона, -сторона)
    time.sleep_ms(мс)
часы.deinit()
часы = Timer(1, period=20, callback=править)
while not конец:
    time.sleep_ms(20)
