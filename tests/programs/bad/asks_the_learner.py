# kind: OSError
# shows: nobody types
speed = input("How fast? ")  # here
