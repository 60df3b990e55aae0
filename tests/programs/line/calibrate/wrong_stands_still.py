# criterion: Every eye sees paper and line
# mistake: the motors are never driven
from machine import ADC, Pin

for k, pin in enumerate((36, 39, 34, 35)):
    count = ADC(Pin(pin), atten=ADC.ATTN_11DB).read()
    print("eye", k, "white", count, "black", count)
