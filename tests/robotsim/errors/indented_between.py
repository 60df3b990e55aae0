for k in range(3):
        print(k)
    print("next")
