# kind: stopped
# shows: without touching the board
# ended: time is up
# seconds: 2
turns = 0
while True:  # here
    turns += 1  # here
