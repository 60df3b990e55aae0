# criterion: It sets off on an order
print('{"did": "joined"}')
print("started 1, done 1")
print("the float is in the dock")
