speed = 5
if speed = 5:
    print("five")
