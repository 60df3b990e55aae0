# kind: ValueError
# shows: xxxxxxxx
raise ValueError("x" * 1_000_000)  # here
