# 別の文字の名前と、動きの表
# tune: 内側 radius 0.25 0.62
# tune: 秒 half 1 9
import time
from machine import PWM, Pin

内側 = 0.42
外側 = 0.58
秒 = 4.0

表 = (((内側, 外側), 秒), ((0, 0), 0.3))
左 = [Pin(25, Pin.OUT, value=1), PWM(Pin(26), freq=1000, duty_u16=65535)]
右 = [Pin(27, Pin.OUT, value=1), PWM(Pin(14), freq=1000, duty_u16=65535)]
for (左力, 右力), 時間 in 表:
    左[1].duty_u16(round(65535 * (1 - 左力)))
    右[1].duty_u16(round(65535 * (1 - 右力)))
    time.sleep(時間)
for 組 in (左, 右):
    組[0](0)
    組[1].duty_u16(0)
