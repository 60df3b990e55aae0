# Names in another alphabet, steady levels on the ahead pins, a table of moves.
# tune: ΑΡΙΣΤΕΡΑ left_start 0.10 0.30
# tune: ΔΕΞΙΑ right_start 0.10 0.30
from machine import Pin, PWM
from time import sleep_ms

ΑΡΙΣΤΕΡΑ = 0.2
ΔΕΞΙΑ = 0.2

εμπρός = Pin(25, Pin.OUT, value=0), Pin(27, Pin.OUT, value=0)
πίσω = PWM(Pin(26), freq=1000, duty_u16=0), PWM(Pin(14), freq=1000, duty_u16=0)
for χρόνος, στάθμη, μέρη in ((300, 1, (0, 0)), (2300, 1, (ΑΡΙΣΤΕΡΑ, ΔΕΞΙΑ)), (300, 1, (0, 0))):
    for ακίδα, παλμός, μέρος in zip(εμπρός, πίσω, μέρη):
        παλμός.duty_u16(int(65535 * (1 - μέρος)))
        ακίδα.value(στάθμη)
    sleep_ms(χρόνος)
for ακίδα, παλμός in zip(εμπρός, πίσω):
    ακίδα.off()
    παλμός.duty_u16(0)
