import machine

lamp = Pin(2, Pin.OUT)
