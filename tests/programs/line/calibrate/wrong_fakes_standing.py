# criterion: every eye sees paper and line
for k in range(4):
    print("eye", k, "white", 1360, "black", 3860)
