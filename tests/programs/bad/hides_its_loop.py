# kind: stopped
# shows: without touching the board
# only: cpython
# What stands in a text is not counted: the wall clock alone ends it.
exec("while True: pass")  # here
