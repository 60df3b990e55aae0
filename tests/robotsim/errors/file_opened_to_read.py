open("log.txt", "w").close()
with open("log.txt") as log:
    log.write("ahoy")
