# criterion: the servo hears its pulses
# mistake: the arm's pin gets no pulses
for angle in (-45, 0, 30):
    us = 1500 + angle * 1000 / 90
    print(angle, round(us * 1000), round(us / 20000 * 65535), round(us / 20000 * 1023))
