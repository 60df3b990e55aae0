import math

print(math.hypot(3, 4))
