# criterion: It drives on every tug
# mistake: the program does nothing yet
pass
