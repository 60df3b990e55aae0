def drive(left, right):
    print(left, right)


drive(0.4)
