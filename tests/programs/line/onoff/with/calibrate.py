from machine import ADC, Pin
import time
from tug import drive, stop

white = [4095, 4095, 4095, 4095]
black = [0, 0, 0, 0]
eyes = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]


def look():
    return [eye.read() for eye in eyes]


def swing(left, right, ms):
    drive(left, right)
    for _ in range(ms // 10):
        counts = look()
        for k in range(4):
            white[k] = min(white[k], counts[k])
            black[k] = max(black[k], counts[k])
        time.sleep_ms(10)


swing(-0.4, 0.4, 350)
swing(0.4, -0.4, 700)
swing(-0.4, 0.4, 350)
stop()
for k in range(4):
    print("eye", k, "white", white[k], "black", black[k])
