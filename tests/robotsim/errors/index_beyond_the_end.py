eyes = [36, 39, 34, 35]
for k in range(5):
    print(eyes[k])
