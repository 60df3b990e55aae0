left, right, stern = (0.2, 0.4)
