# kind: stopped
# shows: ended without a word
# only: cpython
def f():
    pass


f.__class__((f.__code__.replace(co_code=b"\xff" * 64)), {})()
