from machine import Pin

bumper = Pin("D19", Pin.IN, Pin.PULL_UP)
