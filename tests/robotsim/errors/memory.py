samples = bytearray(10**12)
