# kind: none
# shows: 
# ended: finished
# prints: bye
import sys

print("bye")
sys.exit(3)
