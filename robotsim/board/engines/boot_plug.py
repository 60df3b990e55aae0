# Boot file of the plugged tug (robotsim/cable), for the real MicroPython interpreter: its prompt
# follows when this has run.

import sys

import vfs

# So that tracebacks name no folder of this computer.
vfs.mount(vfs.VfsPosix(sys.path[0]), "/tug")
sys.path[:] = ["/tug"]
import boot_plug_tug

_start = boot_plug_tug.start
del boot_plug_tug, sys, vfs
_space = globals()
_start(_space)
del _start, _space
