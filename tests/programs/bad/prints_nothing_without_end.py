# kind: stopped
# shows: without touching the board
while True:
    print(end="")  # here
