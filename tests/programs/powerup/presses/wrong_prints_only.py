# criterion: It feels for the wall
# mistake: the program does nothing yet
for k in range(5):
    print('press', k + 1)
