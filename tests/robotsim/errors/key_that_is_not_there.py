speeds = {"slow": 300, "fast": 700}
print(speeds["medium"])
