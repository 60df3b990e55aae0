# kind: ImportError
# shows: no module named 'subprocess'
import subprocess  # here
