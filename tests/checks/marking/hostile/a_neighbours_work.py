"""The same file as another learner's."""

def make(nb):
    return None
