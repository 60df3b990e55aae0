# tune: תיקון trim -60 60
# שמות באלפבית אחר, רשימה אחת של פקודות
from machine import Pin, PWM
from time import sleep_ms

תיקון = 0

זרוע = PWM(Pin(18), freq=50, duty_u16=0)
דרך = (
    [(-45, 1500)]
    + [(מעלה, 44) for מעלה in range(-44, 46, 2)]
    + [(45, 1200)]
    + [(מעלה, 44) for מעלה in range(44, -1, -2)]
    + [(0, 900)]
)
for מעלה, המתנה in דרך:
    זרוע.duty_ns(int((1500 + תיקון + מעלה * 100 / 9) * 1000))
    sleep_ms(המתנה)
