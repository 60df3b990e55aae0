from robotsim import run

run("trip.py")
