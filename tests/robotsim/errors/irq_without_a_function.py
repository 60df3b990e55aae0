from machine import Pin

bumper = Pin(19, Pin.IN, Pin.PULL_UP)
bumper.irq(handler=bumper.value(), trigger=Pin.IRQ_FALLING)
