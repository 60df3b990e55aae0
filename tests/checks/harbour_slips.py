"""Slips of the lesson `harbour`: with orders, with reports, on the way to the bar."""

from __future__ import annotations

from tests.checks.slips import Edit, Slip, chained, drop, put, swap

__all__ = ["AT_BAR", "REPORTS", "early", "orders", "patched", "radio", "way"]

REPORTS, AT_BAR = "It reports each step", "It stops at the bar"
JOINED = r'^report\("joined"\)$'
STOPPED = r'(report\("stopped", (?:number=)?order\.get\("number"\)\)\n +)state = "waiting"'
MARK = r"(?<!\.)strokes (?:== 2|> 1) and min\(dark\) > 0\.5"
BRAKE = r"^( +)drive\(0, 0\)\n( +)time\.sleep_ms\(300\)\n"
DONE = r'^( +)report\("done", (number=)?number\)\n'


def patched(line: str) -> Edit:
    """Make an edit that puts a line behind the import of the lesson's `wireless`."""
    both = rf"import wireless\nfrom wireless import \1\n\n{line}"
    return put(r"^from wireless import (.*)$", both)


def early(line: str) -> Edit:
    """Make an edit that puts lines behind the report that the tug is there."""
    return put(JOINED, f'report("joined")\n{line}')


def radio(goes: str, waits: str) -> tuple[Slip, ...]:
    """Give the slips on the way to an order.

    Args:
        goes: What loses points where no order comes.
        waits: What loses points where the tug goes too soon.
    """
    return (
        Slip("does not subscribe", "subscribe forgotten", (goes,), drop(r"client\.subscribe\(")),
        Slip("misspells the topic", "subscribed to the wrong topic", (goes,),
             patched('wireless.ORDER += "s"'), put(r'"harbour/%s/order"', '"harbour/%s/orders"')),
        Slip("takes any tug's orders", "orders for another tug are obeyed", (waits,),
             patched('wireless.ORDER = "harbour/+/order"'),
             put(r"^ORDER = .*$", 'ORDER = "harbour/+/order"')),
        Slip("knows no limits", "a bad order is obeyed", (waits,),
             chained(put(r"^    if not -0\.5 <= .*\n.*\n", '    order.setdefault("seconds", 2)\n'),
                     drop("unknown name"))),
        Slip("reports elsewhere", "no report under the log topic", (REPORTS,),
             patched('wireless.LOG = "harbour/log"'), put(r"^LOG = .*$", 'LOG = "harbour/log"')),
        Slip("does not say that it is there", "did not say that it is there", (REPORTS,),
             put(r'report\("joined"\)|self\.tell\(did="joined"\)', "pass")),
    )  # fmt: skip


def orders(waits: str, refuses: str) -> tuple[Slip, ...]:
    """Give the slips with orders: to stop, and bad ones."""
    return (
        Slip("runs what arrives", "what arrives is evaluated", (refuses,),
             put(r"json\.loads\(", "eval(")),
        Slip("does not report a refusal", "refusals are not reported", (refuses,),
             drop(r'report\("refused"|did="refused"')),
        Slip("does not say why it refuses", "a refusal without its reason", (refuses,),
             patched("wireless.report = lambda did, number=None, why=None: report(did, number)"),
             drop(r'what\["why"\] = why')),
        Slip("only reports a stop", "does not obey the order to stop", (waits,),
             put(r'^ +(?:stop\(\)|drive\(0, 0\))\n( +report\("stopped", (?:number=)?'
                 r'order\.get\("number"\)\)\n) +state = "waiting"\n', r"\1"),
             put(r'self\.halt\(\)\n +(self\.office\.tell\(did="stopped".*)\n +self\.state = .*$',
                 r"\1"),
             put(r'self\.halt\(order\.get\("number"\)\)',
                 'self.office.tell(did="stopped", number=order.get("number"))')),
        Slip("reports no start", "a step is not reported", (REPORTS,),
             put(r'report\("started", (?:number=)?\w+\)|self\.office\.tell\(did="started".*\)',
                 "pass")),
    )  # fmt: skip


def way(follows: str) -> tuple[Slip, ...]:
    """Give the slips on the way to the bar, by what loses points where it does not come there."""
    return (
        Slip("turns the sign", "correction with the wrong sign", (follows,),
             swap("EFFORT - steer", "EFFORT + steer"), swap("0.5 - turn", "0.5 + turn")),
        Slip("does not calibrate", "the eyes are not calibrated", (follows,),
             put(r"\bcalibrate\(\)(?!:)|self\.learn\(\)$", "pass")),
        Slip("never looks for the bar", "runs over the bar", (AT_BAR,),
             put(MARK, "strokes > 9"), put(r"self\.strokes > 1", "self.strokes > 9")),
        Slip("waits for a third stroke", "runs over the bar", (AT_BAR,),
             put(r"strokes == 2 and", "strokes == 3 and"),
             put(r"(?<!\.)strokes > 1 and", "strokes > 2 and")),
        Slip("takes the mark for the bar", "the side mark is taken for the bar", (follows,),
             put(MARK, "total > 2.2")),
        Slip("goes on after it was done", "goes on after it was done", (AT_BAR,),
             put(r'^( +report\("done", .*\n +)state = "(?:arrived|docked)"$',
                 r'\1state = "docked"; drive(0.4, 0.4)')),
    )  # fmt: skip
