# criterion: It gets under way
# mistake: the program does nothing yet
print('motors off')
print('amber')
print('under way, all well')
