# criterion: It gets under way
# mistake: the motors are never driven
print('motors off')
print('amber')
print('under way, all well')
