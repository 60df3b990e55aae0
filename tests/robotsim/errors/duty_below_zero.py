from machine import PWM, Pin

left = PWM(Pin(25), freq=1000)
speed = 200
for _ in range(3):
    left.duty(speed)
    speed -= 150
