black, white = 300, 300
share = (400 - black) / (white - black)
