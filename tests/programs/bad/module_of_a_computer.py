# kind: ImportError
# shows: no module named 'os'
import os  # here
