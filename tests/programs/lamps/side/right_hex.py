# tune: RED_FIRST red_first 0 1
# Colours as text, one expression for each step; tidies up in a function that is told the chain.
import neopixel as n
from machine import Pin as P

RED_FIRST = 0
SHADES = ["640000", "006400", "505050", "505050", "643200"]


def hoist(chain):
    chain.ORDER = (0, 1, 2, 3) if RED_FIRST else chain.ORDER
    list(map(chain.__setitem__, range(len(SHADES)), (tuple(bytes.fromhex(s)) for s in SHADES)))
    chain.write()


hoist(n.NeoPixel(P(13), 5))
