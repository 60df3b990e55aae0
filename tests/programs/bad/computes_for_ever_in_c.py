# kind: stopped
# shows: without touching the board
# only: cpython
total = sum(range(10**13))
