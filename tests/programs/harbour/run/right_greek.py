# Οι δικές μου λέξεις· ο δικός μου ασύρματος.
import json
import time

import network
from machine import ADC, PWM, Pin, unique_id
from umqtt.simple import MQTTClient

όνομα = "tug-" + str(int.from_bytes(unique_id()[2:], "big"))
κινητήρες = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]
μάτια = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
χέρι = PWM(Pin(18), freq=50, duty_ns=1500000)
λευκό, μαύρο = [4095] * 4, [0] * 4
γράμματα = []


def τροχοί(αριστερός, δεξιός):
    for k, δύναμη in ((0, αριστερός), (2, δεξιός)):
        δύναμη = max(-1, min(1, δύναμη))
        εμπρός, πίσω = (k, k + 1) if δύναμη >= 0 else (k + 1, k)
        κινητήρες[εμπρός].duty_u16(65535)
        κινητήρες[πίσω].duty_u16(int(65535 * (1 - abs(δύναμη))))


def σβήσε():
    for p in κινητήρες:
        p.duty_u16(0)


def μάθε():
    for δύναμη, φορές in ((-0.4, 35), (0.4, 70), (-0.4, 35)):
        τροχοί(δύναμη, -δύναμη)
        for _ in range(φορές):
            for k in range(4):
                c = μάτια[k].read()
                λευκό[k], μαύρο[k] = min(λευκό[k], c), max(μαύρο[k], c)
            time.sleep_ms(10)
    σβήσε()


def δες():
    return [
        max(0, min(1, (μάτια[k].read() - λευκό[k]) / (μαύρο[k] - λευκό[k]))) for k in range(4)
    ]


def πες(τι, αριθμός=None, γιατί=None):
    λόγος = {"did": τι}
    if αριθμός is not None:
        λόγος["number"] = αριθμός
    if γιατί:
        λόγος["why"] = γιατί
    πελάτης.publish("harbour/%s/log" % όνομα, json.dumps(λόγος), qos=1)


def διάβασε(γράμμα):
    εντολή = json.loads(γράμμα)
    if not isinstance(εντολή, dict):
        raise ValueError("όχι αντικείμενο")
    for κλειδί in εντολή:
        if κλειδί not in ("speed", "seconds", "number"):
            raise ValueError("άγνωστο " + κλειδί)
        if type(εντολή[κλειδί]) not in (int, float):
            raise ValueError("όχι αριθμός")
    if not -0.5 <= εντολή.get("speed", 9) <= 0.5:
        raise ValueError("ταχύτητα")
    if εντολή["speed"] and not 0 < εντολή.get("seconds", 0) <= 60:
        raise ValueError("χρόνος")
    return εντολή


σταθμός = network.WLAN(network.WLAN.IF_STA)
σταθμός.active(True)
σταθμός.connect("harbour", "lighthouse")
while not σταθμός.isconnected():
    time.sleep_ms(100)
πελάτης = MQTTClient(όνομα, "office", keepalive=20)
πελάτης.set_callback(lambda θέμα, γράμμα: γράμματα.append(γράμμα))
πελάτης.set_last_will("harbour/%s/log" % όνομα, '{"did": "gone"}', qos=1)
πελάτης.connect()
πελάτης.subscribe("harbour/%s/order" % όνομα, 1)
πες("joined")

κατάσταση, αριθμός, τέλος, γύροι = "αναμονή", None, 0, 0
έμαθα, πριν, γραμμές, πάνω, πλευρά = False, 0, 0, False, 0
while True:
    πελάτης.check_msg()
    γύροι += 1
    if γύροι % 250 == 0:
        πελάτης.ping()
    εντολή = None
    if γράμματα:
        try:
            εντολή = διάβασε(γράμματα.pop(0))
        except ValueError as λάθος:
            πες("refused", γιατί=str(λάθος))
    if εντολή and not εντολή["speed"]:
        σβήσε()
        πες("stopped", εντολή.get("number"))
        if κατάσταση == "πορεία":
            κατάσταση = "αναμονή"
    elif εντολή and κατάσταση == "αναμονή":
        αριθμός = εντολή.get("number")
        πες("started", αριθμός)
        τέλος = time.ticks_add(time.ticks_ms(), int(1000 * εντολή["seconds"]))
        if not έμαθα:
            μάθε()
            έμαθα = True
        κατάσταση = "πορεία"
    if κατάσταση == "πορεία":
        d = δες()
        σύνολο = sum(d)
        if σύνολο > 2.2 and not πάνω:
            γραμμές += 1
        πάνω = σύνολο > 2.2
        if πάνω and γραμμές == 1:
            πλευρά += d[0] - d[3]
        θέση = πριν
        if not πάνω and σύνολο > 0.3:
            θέση = (18 * d[0] + 6 * d[1] - 6 * d[2] - 18 * d[3]) / σύνολο
        if γραμμές == 2 and min(d) > 0.5:
            τροχοί(0, 0)
            time.sleep_ms(300)
            σβήσε()
            for us, ms in ((1000, 1000), (2000, 500), (1500, 400)):
                χέρι.duty_ns(1000 * (us if πλευρά > 0 else 3000 - us))
                time.sleep_ms(ms)
            πες("done", αριθμός)
            κατάσταση = "δεμένο"
        elif time.ticks_diff(τέλος, time.ticks_ms()) <= 0:
            σβήσε()
            κατάσταση = "αναμονή"
            πες("stopped", αριθμός)
        else:
            στροφή = 0.035 * θέση + 0.05 * (θέση - πριν)
            πριν = θέση
            τροχοί(0.5 - στροφή, 0.5 + στροφή)
    time.sleep_ms(20)
