# kind: stopped
# shows: ended without a word
# only: cpython
for kind in ().__class__.__base__.__subclasses__():
    if kind.__name__ == "_wrap_close":
        kind.__init__.__globals__["_exit"](0)
