# kind: none
# shows: 
# ended: time is up
# only: cpython
print("x" * 50_000_000)
