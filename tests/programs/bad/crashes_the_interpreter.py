# kind: stopped
# shows: ended without a word
# only: cpython
# Loads constants far beyond the end of all of them: it has none left. No number of an opcode stands here, for each
# Python has its own.
exec("def f():\n" + "".join(" x = %d.5\n" % k for k in range(3000)))
f.__class__(f.__code__.replace(co_consts=()), {})()
