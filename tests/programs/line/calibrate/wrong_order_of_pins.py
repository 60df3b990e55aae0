# criterion: It reports the four counts of white
# mistake: eyes in the wrong order
# A timer reads the eyes a hundred times a second while the main line turns the tug.
import time
from machine import ADC, PWM, Pin, Timer

eyes = [ADC(Pin(n), atten=3) for n in (34, 35, 36, 39)]
found = {number: [4095, 0] for number in range(4)}


def sample(timer):
    for number, eye in enumerate(eyes):
        count = eye.read()
        pair = found[number]
        if count < pair[0]:
            pair[0] = count
        if count > pair[1]:
            pair[1] = count


left_ahead, left_back, right_ahead, right_back = [
    PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)
]
timer = Timer(0, period=10, callback=sample)
for full, part in (
    ((left_back, right_ahead), (left_ahead, right_back)),
    ((left_ahead, right_back), (left_back, right_ahead)),
    ((left_ahead, right_back), (left_back, right_ahead)),
    ((left_back, right_ahead), (left_ahead, right_back)),
):
    for pwm in full:
        pwm.duty_u16(65535)
    for pwm in part:
        pwm.duty_u16(39000)
    time.sleep_ms(340)
for pwm in (left_ahead, left_back, right_ahead, right_back):
    pwm.duty_u16(65535)
time.sleep_ms(300)
timer.deinit()
for pwm in (left_ahead, left_back, right_ahead, right_back):
    pwm.deinit()
print("\n".join("eye {} white {} black {}".format(k, *v) for k, v in sorted(found.items())))
