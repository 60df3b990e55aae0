# criterion: Every eye sees paper and line
# mistake: the eyes are not read
print("eye 0 white 1360 black 3870")
print("eye 1 white 1360 black 3870")
print("eye 2 white 1360 black 3870")
print("eye 3 white 1360 black 3870")
print("8 of 8 points")
print("8")
