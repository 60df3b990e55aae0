# criterion: It follows the line to the bar
print('{"did": "joined"}')
print("started 1, done 1")
print("the float is in the dock")
