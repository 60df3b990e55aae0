# kind: stopped
# shows: without touching the board
# ended: time is up
# seconds: 2
while True:  # here
    print(end="")  # here
