"""Slips of `radio.lamps`."""

from tests.checks.slips import Slip, drop, exact, put, swap, where

SHOWS, REFUSES, STAYS = (
    "It shows what good orders ask",
    "It refuses bad orders",
    "It goes on listening",
)
LOAD = r"json\.loads\((msg(?:\.decode\(\))?)\)"
ANY = put(r"except (ValueError|\(.*\)) as (\w+):", r"except Exception as \2:")


def running(by: str):
    """Make an edit that runs what arrives, and lives on whatever that raises."""
    return lambda text: ANY(put(LOAD, by)(text)) if ANY(text) != text else text


CARRIED_OUT = "a bad order was carried out"
SLIPS = (
    Slip("comes to its end", "does not go on listening", (STAYS,),
         put(r"while True:(\n\s+client\.)", r"for _ in range(60):\1"),
         put(r"while True:(\n\s+self\.radio\.)", r"for _ in range(5):\1")),
    Slip("catches nothing", "the program stopped with an error", (SHOWS, STAYS),
         # The board tells what a timer's function raises, and goes on.
         where(r"^[ \t]+.*_msg\(",
               put(r"except (?:ValueError|\(.*\)) as", "except KeyError as"))),
    Slip("runs what arrives with eval", "what arrives is evaluated", (REFUSES,),
         running(r"eval(\1)")),
    Slip("shows half of each part", "another colour than was asked", (SHOWS,),
         put(r"return tuple\(value\)", "return tuple(part // 2 for part in value)"),
         put(r"= order\.colour", "= [part // 2 for part in order.colour]")),
    Slip("takes parts in another order", "another colour than was asked", (SHOWS,),
         put(r"return tuple\(value\)", "return tuple(reversed(value))"),
         put(r"= order\.colour", "= order.colour[::-1]")),
    Slip("never looks", "never looked for messages", (SHOWS,),
         drop(r"check_msg\(\)\s*$"), put(r"self\.radio\.wait_msg\(\)", "time.sleep_ms(50)")),
    Slip("knows no limits", CARRIED_OUT, (REFUSES,),
         put(r" or not 0 <= part <= 255", ""), put(r" and 0 <= c < 256", "")),
    Slip("takes 256 as well", CARRIED_OUT, (REFUSES,),
         put(r"<= 255:", "<= 256:"), put(r"< 256", "< 257")),
    Slip("takes truth values", CARRIED_OUT, (REFUSES,),
         put(r"type\(part\) is not int", "type(part) not in (int, bool)"),
         put(r"type\(c\) is int", "type(c) in (int, bool)")),
    Slip("takes more names", CARRIED_OUT, (REFUSES,),
         put(r'list\(order\) != \["lamps"\]', '"lamps" not in order'), drop("assert not given")),
    Slip("takes four parts", CARRIED_OUT, (REFUSES,),
         put(r"len\(value\) != 3(.*\n.*\n)", r"len(value) < 3\1    value = value[:3]\n"),
         put(r"len\(self\.colour\) == 3", "len(self.colour) >= 3")),
    Slip("refuses the ends of the range", "a good order is not carried out", (SHOWS,),
         put(r"0 <= part <= 255", "0 < part < 255"), put(r"0 <= c < 256", "0 < c < 255")),
    Slip("leaves subscribe out", "subscribe forgotten", (SHOWS, REFUSES), drop(r"\.subscribe\(")),
    Slip("leaves write out", "write() forgotten", (SHOWS,), drop(r"\.write\(\)")),
    Slip("sets the first lamp only", "only some lamps set", (SHOWS,),
         put(r"(\w+)\.fill\((\w+\(msg\))\)", r"\1[0] = \2"),
         put(r"range\(len\(self\.chain\)\)", "range(1)")),
    Slip("has a wrong password", "the network was not joined", (SHOWS, STAYS),
         put('"lighthouse"', '"Lighthouse"')),
    Slip("looks every 1.5 s", "messages wait too long", (SHOWS,),
         put(r"time\.sleep\(0\.05\)", "time.sleep(1.5)"), put(r"sleep_ms\(40\)", "sleep_ms(1500)"),
         put("period=100", "period=1500")),
    Slip("subscribes late", "subscribed too late", (SHOWS,),
         put(r"^(\s*)((?:client|self\.radio)\.connect\(\))", r"\1time.sleep(4)\n\1\2")),
    Slip("has a wrong topic", "subscribed to the wrong topic", (SHOWS, REFUSES),
         put("/order\"", '/orders"')),
    Slip("has a wrong pin", "wrong pin for the lamps", (SHOWS,), put(r"Pin\(13\)", "Pin(12)")),
    Slip("runs what arrives by exec", "what arrives is evaluated",
         ("It refuses bad orders",),
         exact(("    order = json.loads(msg)", "    space = {}\n"
                "    exec(\"order = \" + msg.decode(), space)\n"
                '    order = space["order"]'),
               ("    except ValueError as fault:", "    except Exception as fault:"))),
    Slip("waits for one message", "",
         ("It shows what good orders ask", "It goes on listening",),
         exact(("from machine import Pin, Timer, unique_id", "from machine import Pin, unique_id"),
               ("Timer(0, period=100, callback=lambda timer: client.check_msg())", "client.wait_msg()"))),
    Slip("takes numbers that are not whole", "the program stopped with an error",
         ("It refuses bad orders",),
         exact(("        if type(part) is not int or not 0 <= part <= 255:", "        if not 0 <= part <= 255:"),
               ("    return tuple(value)", "    return tuple([int(part) for part in value])"))),
)  # fmt: skip
