# kind: stopped
# shows: ended without a word
# only: cpython
# Loads a constant far beyond the end of all of them.
def f():
    pass


f.__class__((f.__code__.replace(co_code=bytes([144, 255] * 3 + [100, 255]))), {})()
