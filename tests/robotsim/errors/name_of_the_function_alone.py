count = 0


def hit():
    count += 1


hit()
