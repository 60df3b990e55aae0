# 別の文字の名前で。
import time
from machine import Pin, PWM

腕 = PWM(Pin(18), freq=50, duty_u16=0)
for 角度, 秒 in ((-50, 1.6), (50, 0.4), (0, 0.4)):
    腕.duty_ns(int((1.5 + 角度 / 90) * 1e6))
    time.sleep(秒)
