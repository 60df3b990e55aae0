speed = input("speed? ")
