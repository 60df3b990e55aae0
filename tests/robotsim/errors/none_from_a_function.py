def share(raw):
    raw / 4095


print(share(2000) * 100)
