# kind: ImportError
# shows: no module named '_link'
import _link  # here
