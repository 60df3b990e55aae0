print("ahoy)
