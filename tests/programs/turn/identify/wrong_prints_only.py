# criterion: It asks the sensor who it is
# mistake: nothing read from the sensor
print("address 0x68")
print("identity 0x68")
print("raw 63")
