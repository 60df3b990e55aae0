# kind: stopped
# shows: without touching the board
# only: micropython
while True:
    try:
        while True:
            pass
    except KeyboardInterrupt:
        pass
