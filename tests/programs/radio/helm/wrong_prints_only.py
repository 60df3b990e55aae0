# criterion: It obeys orders to move
# criterion: It keeps the speed
# criterion: It keeps the radius
# criterion: It stops when an order's time is over
# criterion: It refuses bad orders
print("joined")
print("done")
