warp = 3
sleed(warp)
