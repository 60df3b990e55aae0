order = "0.4"
speed = int(order)
