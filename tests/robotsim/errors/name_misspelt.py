speed = 300
print(sped)
