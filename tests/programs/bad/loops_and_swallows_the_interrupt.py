# kind: stopped
# shows: without touching the board
# ended: time is up
# seconds: 2
# only: micropython
while True:
    try:
        while True:
            pass  # here
    except KeyboardInterrupt:
        pass
