# Only what it began with.
# criterion: It goes round the quay
# mistake: it does not set off
import time
from calibrate import black, look, white
from tug import drive, stop
