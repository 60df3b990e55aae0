# kind: ImportError
# shows: no module named 'numpy'
import time

import numpy  # here
