LENGTHS = (300, 300, 900)
for place in range(4):
    wait = LENGTHS[place]
