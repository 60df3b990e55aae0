distance = 40
print("distance: " + distance)
