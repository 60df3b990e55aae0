# kind: none
# shows: 
# ended: time is up
import machine

machine.reset()
