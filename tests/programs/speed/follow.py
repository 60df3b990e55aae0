# Follows the line: four eyes read, four duties set and a sleep in each round, 50 times a second.
import time
from machine import ADC, PWM, Pin

WHITE, BLACK = 1100, 3300


def shade(count):
    return min(max((count - WHITE) / (BLACK - WHITE), 0.0), 1.0)


def steer(counts, memory):
    """Give four duties for four counts; `memory` keeps the last place and effort."""
    dark = [shade(count) for count in counts]
    total = sum(dark)
    place = memory[0]
    if total > 0.2:
        place = (3 * dark[3] + dark[2] - dark[1] - 3 * dark[0]) / total
    turn = 0.11 * place + 0.25 * (place - memory[0])
    memory[0] = place
    left, right = 0.5 + turn, 0.5 - turn
    efforts = [min(max(left, 0.0), 1.0), min(max(right, 0.0), 1.0)]
    # Slow decay: one input high, inverted pulses on the other.
    return 65535, int(65535 * (1 - efforts[0])), 65535, int(65535 * (1 - efforts[1]))


def main():
    eyes = [ADC(Pin(number), atten=ADC.ATTN_11DB) for number in (36, 39, 34, 35)]
    motors = [PWM(Pin(number), freq=1000, duty_u16=0) for number in (25, 26, 27, 14)]
    memory = [0.0]
    while True:
        counts = [eye.read() for eye in eyes]
        for motor, duty in zip(motors, steer(counts, memory)):
            motor.duty_u16(duty)
        time.sleep_ms(20)


if __name__ == "__main__":
    main()
