# kind: stopped
# shows: without touching the board
# only: cpython
# What one built-in call computes is not counted: the wall clock alone ends it.
sum(range(10**12))
