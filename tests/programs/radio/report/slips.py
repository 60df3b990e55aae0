"""Slips of `radio.report`."""

from tests.checks.slips import Slip, drop, exact, put

DONE, REFUSED, JOINED, SURE, SHOWS = (
    "It reports what it has done",
    "It reports what it has refused",
    "It says that it is there",
    "Its reports come at least once",
    "It shows what good orders ask",
)
ANY = put(r"except (?:ValueError|\(.*\))( as fault)?:", r"except Exception\1:")
TOLD = r"^( *)((?:radio\.tell\(\"|report\(did=\")done.*)$"
SLIPS = (
    Slip("reports three times", "a report again and again", (DONE,),
         put(TOLD, r"\1\2\n\1\2\n\1\2")),
    Slip("publishes at QoS 0", "reports at most once", (SURE,), put(r", qos=1\)$", ")")),
    Slip("tells nothing of what was done", "what was done is not reported", (DONE,),
         put(TOLD, r"\1pass")),
    Slip("runs what arrives", "what arrives is evaluated", (REFUSED,),
         lambda text: ANY(put(r"json\.loads\(", "eval(")(text))),
    Slip("forgets the lamps", "reported and not done", (SHOWS,), drop(r"\.(?:fill|write)\(")),
    Slip("tells done first", "reported as done what it should refuse", (DONE,),
         put(r"^( +)(colour, number = read\()", r'\1report(did="started")\n\1\2'),
         put(r"^( +)(order = checked\()", r'\1radio.tell("started")\n\1\2')),
    Slip("leaves the number out", "the wrong number", (DONE,),
         put(r"(done\"), number=.*\)", r"\1)")),
    Slip("counts for itself", "the wrong number", (DONE,),
         put(r"(done\"), number=.*\)", r"\1, number=time.ticks_ms())")),
    Slip("gives the number as a text", "a report by other rules", (DONE,),
         put(r"(done\"), number=(.*)\)", r"\1, number=str(\2))")),
    Slip("gives a reason for done", "more names than asked", (DONE,),
         put(r"(done\"), number=(.*)\)", r'\1, number=\2, why="all well")')),
    Slip("gives no reason", "a refusal without its reason", (REFUSED,),
         put(r'why=(?:str\(fault\)|"no order.*")', 'why=""')),
    Slip("prints refusals", "refusals are not reported", (REFUSED,),
         put(r'^( +)(?:report\(did=|radio\.tell\()"refused.*$', r'\1print("no order")')),
    Slip("leaves subscribe out", "subscribe forgotten", (DONE,), drop(r"\.subscribe\(")),
    Slip("says nothing of itself", "did not say that it is there", (JOINED,), drop(r'"joined"')),
    Slip("says joined before it has subscribed", "said too soon that it is there", (JOINED,),
         put(r'^(client\.subscribe.*)\n(report\(did="joined"\))', r"\2\n\1")),
    Slip("sends no JSON", "a report that is no JSON", (DONE, REFUSED, JOINED),
         put(r"json\.dumps\(what\)", "str(what)"), put(r"""'"did": "%s"' % did""", r"""'"did": %s' % did""")),
    Slip("reports elsewhere", "no report under the log topic", (DONE, REFUSED),
         put(r"/log\"", '/logs"'), put(r'"log"', '"logs"')),
    Slip("looks once a second", "messages wait too long", (DONE,),
         put(r"time\.sleep\(0\.05\)", "time.sleep(1)"), put(r"sleep_ms\(30\)", "sleep_ms(1000)"),
         put("period=80", "period=1000")),
    Slip("refuses everything", "good orders are refused", (DONE,),
         put(r"^( +)colour, number = read\(waiting\.pop\(0\)\)",
             r'\1waiting.pop(0)\n\1raise ValueError("no")'),
         put(r"^( +)order = checked\(msg\)", r'\1raise ValueError("no")')),
    Slip("keeps the last message only", "one of two orders is lost", (DONE,),
         lambda text: put(r"waiting\.append\(msg\)", "waiting[:] = [msg]")(
             put(r"^( +)while waiting:((?:\n.*)*?str\(fault\)\))",
                 r"\1for msg in waiting[:1]:\2\n\1waiting.clear()")(
                 text.replace("read(waiting.pop(0))", "read(msg)")))
         if "waiting.append(msg)" in text else text),
    Slip("publishes within heard", "published while another message was at work", (SURE,),
         lambda text: text if "Timer" in text else put(r"^def heard\(topic, msg\):\n    waiting\.append\(msg\)\n",
                          "def heard(topic, msg):\n    waiting.append(msg)\n    work()\n\n\n"
                          "def work():\n"
                          "    while waiting:\n"
                          "        try:\n"
                          "            colour, number = read(waiting.pop(0))\n"
                          "            lamps.fill(colour)\n"
                          "            lamps.write()\n"
                          '            report(did="done", number=number)\n'
                          "        except ValueError as fault:\n"
                          '            report(did="refused", why=str(fault))\n')(text)),
    Slip("checks nothing", "reported as done what it should refuse",
         ("It reports what it has refused",),
         exact(("    if not isinstance(value, list) or len(value) != 3:\n"
                "        raise ValueError(\"lamps is a list of three\")\n"
                "    for part in value:\n"
                "        if type(part) is not int or not 0 <= part <= 255:\n"
                '            raise ValueError("each part is a whole number from 0 to 255")', "    if value is None:\n"
                '        raise ValueError("no lamps")'),
               ("            lamps.fill(colour)", "            lamps.fill([int(part) for part in colour] + [0, 0])"),
               ("            report(did=\"done\", number=number)\n"
                "        except ValueError as fault:", "            report(did=\"done\", number=number or 0)\n"
                "        except Exception as fault:"))),
)  # fmt: skip
