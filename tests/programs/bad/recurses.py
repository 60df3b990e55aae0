# kind: RuntimeError
# shows: maximum recursion depth exceeded
def down(n):
    return down(n + 1)  # here


down(0)
