# criterion: It feels for the wall
# mistake: the program does nothing yet
pass
