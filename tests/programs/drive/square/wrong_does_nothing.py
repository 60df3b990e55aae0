# criterion: It goes round to port
# mistake: the program does nothing yet
pass
