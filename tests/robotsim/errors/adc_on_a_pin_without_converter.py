from machine import ADC, Pin

eye = ADC(Pin(22))
