# kind: stopped
# shows: without touching the board
# only: cpython
while True:
    try:
        while True:  # here
            pass  # here
    except BaseException:
        pass
