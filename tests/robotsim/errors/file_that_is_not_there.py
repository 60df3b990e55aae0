with open("settings.json") as file:
    print(file.read())
