%%program main.py
print("ahoy")
