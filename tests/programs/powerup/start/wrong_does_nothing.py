# criterion: It gets under way
# mistake: the program does nothing yet
pass
