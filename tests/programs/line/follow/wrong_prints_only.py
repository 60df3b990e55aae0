# criterion: It follows the wave to the stop bar
# mistake: the eyes are not read
print("at the stop bar")
print("12 of 12 points")
print("12")
