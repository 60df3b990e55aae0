# criterion: It goes round the quay
# mistake: the program does nothing yet
import time

time.sleep(1)
