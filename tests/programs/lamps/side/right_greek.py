# tune: RED_FIRST red_first 0 1
import neopixel, machine, time

RED_FIRST = 0
σειρά = neopixel.NeoPixel(machine.Pin(13), 5)
if RED_FIRST:
    σειρά.ORDER = (0, 1, 2, 3)
κόκκινο, πράσινο, λευκό, κεχριμπάρι = (90, 0, 0), (0, 90, 0), (90, 90, 90), (90, 45, 0)
φώτα = {0: κόκκινο, 1: πράσινο, 2: λευκό, 3: λευκό, 4: κεχριμπάρι}
for φως in φώτα:
    σειρά[φως] = φώτα[φως]
    σειρά.write()
    time.sleep_ms(20)
