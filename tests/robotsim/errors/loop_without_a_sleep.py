while True: count = 1
