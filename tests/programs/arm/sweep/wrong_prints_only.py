# criterion: the arm goes to both sides
# mistake: the arm's pin gets no pulses
for angle in list(range(-45, 46)) + list(range(45, -1, -1)):
    print(angle, 1500 + angle * 1000 / 90)
