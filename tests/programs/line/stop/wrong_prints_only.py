# criterion: It follows the line to the bar
# mistake: the program does nothing yet
print("stopped at the bar, motors off")
print("8 of 8 points")
print("8")
