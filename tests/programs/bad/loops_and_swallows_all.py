# kind: stopped
# shows: without touching the board
# ended: time is up
# seconds: 2
# only: cpython
while True:
    try:
        while True:  # here
            pass  # here
    except BaseException:
        pass
