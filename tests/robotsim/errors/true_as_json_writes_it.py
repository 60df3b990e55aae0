running = true
