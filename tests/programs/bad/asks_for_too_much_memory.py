# kind: MemoryError
# shows: 
# only: cpython
chain = bytearray(10**12)  # here
