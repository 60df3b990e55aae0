"""The simulated microcontroller: pins, clock, units, and the link to a program."""
