# What rounds to nought from below keeps its sign on the board.
import time

for value in (-0.04, -0.0, 0.0, 0.04, -1.25, 2.675, -0.5, 1234.5):
    print(round(value, 1), round(value, 0), round(value, 2), round(value))
    time.sleep_ms(10)
