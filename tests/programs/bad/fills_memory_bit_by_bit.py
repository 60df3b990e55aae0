# kind: MemoryError
# shows: 
hold = []
while True:
    hold.append([0] * 5000)  # here
