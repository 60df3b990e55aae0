from machine import ADC, Pin

eye = ADC(Pin(36), atten=ADC.ATTN_11DB)
print(eye.value())
