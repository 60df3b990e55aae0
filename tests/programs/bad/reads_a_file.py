# kind: OSError
# shows: ENOENT
open("settings.txt")  # here
