"""Readings: what is measured from a recording, in terms of the trade.

`motion` motors, wheels and the way gone · `bench` what a tug itself needs · `light` what the lamps
showed · `line` eyes and the quay line · `arm` pulses and swings · `sensors` the motion sensor's bus
and what was printed of it · `radio` orders and messages.  A reading knows recordings only: no task,
no points.
"""
