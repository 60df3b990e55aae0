# Only what it began with.
# criterion: It follows the line to the bar
# mistake: it does not set off
import time
from calibrate import black, look, white
from tug import drive, stop
