# kind: IndentationError
# shows: unexpected indent
# only: cpython
x = 1
    y = 2  # here
