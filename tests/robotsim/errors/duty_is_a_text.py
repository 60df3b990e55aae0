from machine import PWM, Pin

back = PWM(Pin(26), freq=1000)


def brake(share):
    back.duty(share)


brake("50")
