# criterion: It drives on every tug
# mistake: the motors are never driven
print('compiled, ready, exported')
