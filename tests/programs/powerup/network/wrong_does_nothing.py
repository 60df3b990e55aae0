# criterion: It joins the first on the list
# mistake: the program does nothing yet
pass
