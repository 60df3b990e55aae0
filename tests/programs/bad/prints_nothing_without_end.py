# kind: stopped
# shows: without touching the board
while True:  # here
    print(end="")  # here
