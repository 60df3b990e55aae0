# kind: none
# shows: 
# ended: time is up
while True:
    print("ahoy")
