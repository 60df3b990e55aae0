import time, machine, neopixel

огни = neopixel.NeoPixel(machine.Pin(13), 5)
МАЧТА, ШАГОВ = 2, 64
шаг = 0
while шаг < ШАГОВ:
    шаг += 1
    светлота = 100 * шаг / ШАГОВ
    число = int(255 * ((светлота + 16) / 116) ** 3) if светлота > 8 else int(255 * светлота / 903)
    огни[МАЧТА] = (число,) * 3
    огни.write()
    time.sleep_us(62500)
