# kind: OSError
# shows: nobody types
import sys

sys.stdin.readline()  # here
