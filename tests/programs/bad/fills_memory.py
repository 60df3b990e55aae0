# kind: MemoryError
# shows: 
# only: cpython
# system: posix
hold = []
while True:
    hold.append(bytearray(8_000_000))  # here
