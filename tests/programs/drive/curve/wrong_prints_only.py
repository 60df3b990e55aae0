# criterion: It turns to port
# mistake: the motors are never driven
print("radius 0.250 m, turned 180.0 degrees to port, at rest")
print(10.0)
