def follow():
    return follow()


follow()
