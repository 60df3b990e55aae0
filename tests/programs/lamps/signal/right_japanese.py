import time, machine, neopixel

灯 = neopixel.NeoPixel(machine.Pin(13), 5)
白, 闇 = (70, 70, 70), (0, 0, 0)
始め = time.ticks_us()
回 = 0
while True:
    今 = time.ticks_diff(time.ticks_us(), 始め) // 1000
    拍 = 今 % 4000
    灯[2] = 白 if 拍 < 2100 and 拍 // 300 in (0, 2, 4, 5, 6) else 闇
    灯[3] = 白 if 今 // 750 % 2 == 0 else 闇
    灯.write()
    if 今 // 4000 + 1 > 回:
        回 += 1
        print("signal " + str(回) + ": two short, one long")
    time.sleep_ms(5)
