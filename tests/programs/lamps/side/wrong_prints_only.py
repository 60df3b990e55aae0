# criterion: The lamps are lit
# mistake: nothing is sent to the lamps
print("port red, starboard green, mast white, stern white, deck amber")
print("10")
