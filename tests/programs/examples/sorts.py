# The board asks a key anew whenever it looks at an item, and leaves what is equal in its own order.
import time

asked = []


def key(value):
    asked.append(value)
    return -value % 4


for values in ([], [7], [2, 1], [3, 1, 2, 5, 4, 9, 8, 6, 7, 0]):
    print(sorted(values, key=key), asked)
    print(sorted(values, key=key, reverse=True), len(asked))
    time.sleep_ms(10)
names = ["stern", "bow", "mast", "deck", "quay"]
names.sort(key=lambda name: len(name))
print(names, time.ticks_us())
