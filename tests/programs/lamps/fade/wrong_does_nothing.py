# criterion: The mast lamp comes up in small steps
# mistake: the program does nothing yet
pass
