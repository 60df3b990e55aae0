# kind: stopped
# shows: without touching the board
turns = 0
while True:  # here
    turns += 1  # here
