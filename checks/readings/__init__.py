"""Readings: what is measured from a recording, in terms of the trade.

`motion` motors, wheels and the way gone · `together` both motors at a time · `pairing` which inputs
are set in a row · `rest` when all stood still · `bench` what a tug itself needs · `waking` which
pins were quiet first · `light` what the lamps showed · `colour` what that is called · `line` eyes
and the quay line · `gains` by which law it steered · `arm` pulses and swings · `sensors` the motion
sensor's bus and what was printed of it · `radio` orders and messages.  A reading knows recordings
only: no task, no points.
"""
