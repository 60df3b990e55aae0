"""A noise source for tests that want the exact reading."""

import random


class Quiet(random.Random):
    """A noise source without noise."""

    def gauss(self, mu=0.0, sigma=1.0):
        return mu
