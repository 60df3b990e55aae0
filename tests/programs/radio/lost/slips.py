"""Slips of `radio.lost`."""

from tests.checks.motor_slips import no_motor_there
from tests.checks.slips import Slip, drop, exact, put, unless, where

GOES, NETWORK, BROKER, BACK, JOINED, LEARNS, REFUSES = (
    "It obeys its first order",
    "It stops when the network is lost",
    "It stops when the broker is gone",
    "It rejoins and obeys again",
    "It reports each time that it has joined",
    "The office learns that it is gone",
    "It refuses bad orders",
)
ANY = put(r"except (ValueError|\(ValueError.*\)) as", "except Exception as")
CARRIED_OUT = "a bad order was carried out"
DRIVES_ON = "goes on driving without a link"
RESTARTS = r"machine\.reset\(\)"
"""A board that starts anew has stopped, and subscribes as it did at first."""
WAITS = exact(("            client.check_msg()", "            client.wait_msg()"))
SLIPS = (
    Slip("does not stop at a loss", DRIVES_ON, (NETWORK,),
         unless(RESTARTS, put(r"(except OSError as fault:\n) +stop\(\)\n", r"\1")),
         put(r"^    motors\.stop\(\)$", "    pass")),
    Slip("stops late", DRIVES_ON, (NETWORK,),
         put(r"(except OSError as fault:\n)( +)stop\(\)\n", r"\1\2time.sleep(2.5)\n\2stop()\n"),
         put(r"^    motors\.stop\(\)$", "    time.sleep(2.5)\n    motors.stop()")),
    Slip("runs what arrives", "what arrives is evaluated", (REFUSES,),
         lambda text: ANY(put(r"json\.loads\(", "eval(")(text))),
    Slip("has a long keep-alive", "the office is not told of a loss", (LEARNS,),
         put(r"keepalive=\d", "keepalive=30")),
    Slip("has no will", "the office is not told of a loss", (LEARNS,), drop("set_last_will")),
    Slip("sends its will elsewhere", "the will goes to the wrong topic", (LEARNS,),
         put(r"set_last_will\([^,]*", 'set_last_will("harbour/will"')),
    Slip("leaves other words as its will", "the will is no report", (LEARNS,),
         put(r"(set_last_will\([^,]*), .*$", r'\1, "lost at sea", qos=1)')),
    Slip("never drives", "orders do not move it", (GOES,),
         drop(r"\bdrive\(speed\)$"), drop(r"motors\.go\(")),
    Slip("never goes astern", "ahead and astern exchanged", (BACK,),
         put(r"if speed < 0:", "if False:"),
         put(r"if speed > 0 else \(low, 65535\) \* 2", "if True else 0")),
    Slip("drives one wheel", "only one wheel is driven", (GOES,),
         put(r"for motor in \(left, right\)", "for motor in (left,)"),
         put(r"zip\(self\.pins, duties\)", "zip(self.pins[:2], duties)")),
    Slip("is over too soon", "stops before the order is over", (NETWORK, BROKER),
         put(r"int\(1000 \* seconds\)", "int(1000 * min(seconds, 0.9))"),
         put(r"seconds \* 1000", "min(seconds, 0.9) * 1000")),
    Slip("is never over", "motors left on", (REFUSES,),
         put(r"if until is not None and", "if False and"), drop(r"motors\.pass_time")),
    # umqtt.robust asks the broker to keep what was subscribed to.
    Slip("does not subscribe again", "did not subscribe again", (BACK,),
         unless(RESTARTS + "|umqtt.robust", put(r"^( +)(client|self)(\.subscribe\(.*\))$",
             r'\1if not globals().get("known"):\n\1    globals()["known"] = True\n\1    \2\3'))),
    Slip("does not rejoin", "does not rejoin", (BACK,),
         put(r'^( +)print\("lost:", fault\)$', r'\1print("lost")\n\1while True:\n\1    stop()\n'
             r"\1    time.sleep(1)")),
    Slip("does not tell that it is back", "did not say that it is there", (JOINED,),
         drop(r"publish\(.*joined")),
    Slip("tells it before it has subscribed", "said too soon that it is there", (JOINED,),
         put(r"^( +(?:client|self)\.subscribe\(.*\))\n( +(?:client|self)\.publish\(.*joined.*)$",
             r"\2\n\1")),
    Slip("has a wrong password", "the network was not joined", (GOES, BACK),
         put('"lighthouse"', '"lighthouse1"')),
    Slip("takes unknown names", CARRIED_OUT, (REFUSES,),
         put(r'raise ValueError\("unknown name " \+ name\)', "pass")),
    Slip("knows no limits", CARRIED_OUT, (REFUSES,),
         put(r"not -0\.5 <= speed <= 0\.5 or ", "")),
    Slip("leaves the motors braked", "motors braked at the end, not off", (REFUSES,),
         put(r"\bpwm\.duty_u16\(0\)", "pwm.duty_u16(65535)")),
    Slip("lets the loss end it", "the program stopped with an error",
         ("It rejoins and obeys again", "It stops when the network is lost",),
         exact(("    except OSError as fault:\n"
                "        stop()\n"
                "        print(\"lost:\", fault)\n"
                "        time.sleep(0.5)", "    finally:\n        pass"))),
    Slip("does not ask whether it is connected", "goes on driving without a link",
         ("It stops when the network is lost",),
         unless("def guard", exact(
             ("            if not wlan.isconnected():\n"
              '                raise OSError("the network is gone")', ""),
             ("            if time.ticks_diff(now, pinged) > 1500:", "            if time.ticks_diff(now, pinged) > 3500:")))),
    Slip("resumes what it did", "goes on with the old order",
         ("It stops when the network is lost",),
         exact(("        pinged = time.ticks_ms()", "        if until: drive(0.1)\n"
                "        pinged = time.ticks_ms()"),
               ("        stop()\n        print(\"lost:\", fault)", "        keep = until\n"
                "        [p.duty_u16(0) for p in left+right]\n"
                '        print("lost:", fault)'),
               ("        import machine; machine.reset()", "        time.sleep(0.5)"))),
    Slip("waits for messages", DRIVES_ON, (NETWORK,), unless("def guard", WAITS)),
    # Its timer takes the loop that is held up for one that hangs, and stops what was ordered.
    Slip("waits for messages under a guard", "stops before the order is over", (GOES, NETWORK),
         where("def guard", WAITS)),
    Slip("sets its will behind the connection", "the office is not told of a loss",
         ("The office learns that it is gone",),
         exact(("client.set_last_will(LOG, '{\"did\": \"gone\"}', qos=1)", ""),
               ("    client.subscribe(ORDER, 1)", "    client.set_last_will(LOG, '{\"did\": \"gone\"}', qos=1)\n"
                "    client.subscribe(ORDER, 1)"))),
    no_motor_there(GOES),
)  # fmt: skip
