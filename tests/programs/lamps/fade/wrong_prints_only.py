# criterion: The mast lamp comes up in small steps
# mistake: nothing is sent to the lamps
import time

for step in range(101):
    print("lightness", step)
    time.sleep_ms(38)
print(10)
