# Random numbers: the same for both engines, and for every run of one seed.
import random

print([random.randint(1, 6) for _ in range(20)])
print([random.choice("NESW") for _ in range(10)], random.getrandbits(16), random.randrange(10, 50, 5))
print(random.uniform(-1, 1), random.random())
random.seed(5)
print(random.random())
