# Names in Greek letters; averages the five lowest and the five highest counts.
from machine import ADC, PWM, Pin
import time

ὀφθαλμοί = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
αρ_εμπρός, αρ_πίσω, δε_εμπρός, δε_πίσω = (PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14))
μετρήσεις = [[], [], [], []]


def στροφή(φορά, κύκλοι):
    α, β = (αρ_πίσω, αρ_εμπρός) if φορά > 0 else (αρ_εμπρός, αρ_πίσω)
    γ, δ = (δε_εμπρός, δε_πίσω) if φορά > 0 else (δε_πίσω, δε_εμπρός)
    α.duty_u16(65535), β.duty_u16(39321), γ.duty_u16(65535), δ.duty_u16(39321)
    for _ in range(κύκλοι):
        for σειρά, μάτι in zip(μετρήσεις, ὀφθαλμοί):
            σειρά.append(μάτι.read())
        time.sleep_ms(8)


for φορά, κύκλοι in ((1, 42), (-1, 84), (1, 42)):
    στροφή(φορά, κύκλοι)
for παλμός in (αρ_εμπρός, αρ_πίσω, δε_εμπρός, δε_πίσω):
    παλμός.duty_u16(0)
for ν, σειρά in enumerate(μετρήσεις):
    σειρά.sort()
    print("Eye", ν, "white", sum(σειρά[:5]) // 5, "black", sum(σειρά[-5:]) // 5)
