# criterion: It asks the sensor who it is
# mistake: the program does nothing yet
print("address 0x68")
print("identity 0x68")
print("raw 63")
