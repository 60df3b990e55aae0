speed = 1.2
assert speed <= 1.0, "speed is a share"
