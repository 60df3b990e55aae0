# What a pulse train reads back, at several frequencies and on three scales.
from machine import PWM, Pin

pwm = PWM(Pin(18), freq=50)
print(pwm.freq(), pwm.duty(), pwm.duty_u16(), pwm.duty_ns())
for freq in (50, 1000, 5000, 20_000, 40_000, 300_000):
    pwm.freq(freq)
    for duty in (0, 1, 77, 512, 1023):
        pwm.duty(duty)
        print(freq, duty, pwm.duty(), pwm.duty_u16(), pwm.duty_ns())
    pwm.duty_u16(12345)
    print(freq, pwm.duty(), pwm.duty_u16(), pwm.duty_ns())
pwm.freq(50)
pwm.duty_ns(1_500_000)
print(pwm.duty(), pwm.duty_u16(), pwm.duty_ns())
for bad in (lambda: pwm.duty(1024), lambda: pwm.freq(0), lambda: pwm.duty_ns(20_000_001)):
    try:
        bad()
    except ValueError as fault:
        print("ValueError:", fault)
pwm.deinit()
try:
    pwm.duty(5)
except RuntimeError as fault:
    print("RuntimeError:", fault)
