# Only what it began with.
# criterion: It follows the wave to the stop bar
# mistake: it does not set off
import time
from calibrate import black, look, white
from tug import drive, stop
