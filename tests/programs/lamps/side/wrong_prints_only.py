# criterion: The lamps are lit
# mistake: the program does nothing yet
print("port red, starboard green, mast white, stern white, deck amber")
print("10")
