# criterion: It feels for the wall
# mistake: bumper never read
for k in range(5):
    print('press', k + 1)
