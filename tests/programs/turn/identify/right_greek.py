# Ονόματα με άλλο αλφάβητο, μια γεννήτρια δίνει τις γραμμές.
import time
from machine import Pin, I2C

δίαυλος = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
ΔΙΕΥΘΥΝΣΗ = 104


def γραμμές():
    yield "address", hex(ΔΙΕΥΘΥΝΣΗ)
    yield "identity", hex(δίαυλος.readfrom_mem(ΔΙΕΥΘΥΝΣΗ, 117, 1)[0])
    δίαυλος.writeto_mem(ΔΙΕΥΘΥΝΣΗ, 107, b"\0")
    time.sleep_ms(100)
    πάνω = δίαυλος.readfrom_mem(ΔΙΕΥΘΥΝΣΗ, 71, 1)[0]
    κάτω = δίαυλος.readfrom_mem(ΔΙΕΥΘΥΝΣΗ, 72, 1)[0]
    yield "raw", (πάνω if πάνω < 128 else πάνω - 256) * 256 + κάτω


for λέξη, αριθμός in γραμμές():
    print(λέξη, αριθμός)
