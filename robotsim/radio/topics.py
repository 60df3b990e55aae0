"""Topics: which names and filters are allowed, and which filter wants which name.

*Model*: MQTT 3.1.1, section 4.7.  The matching itself is paho's.
*Source*: OASIS MQTT 3.1.1, sections 1.5.3 and 4.7 (transcription).
"""

from __future__ import annotations

from functools import lru_cache

__all__ = ["LONGEST", "filter_fault", "matches", "topic_fault"]

LONGEST = 65_535
"""Most bytes that a topic or any other string may have on the wire."""


def _text_fault(text: str) -> str:
    if not text:
        return "it is empty"
    if "\0" in text:
        return "it holds the null character"
    try:
        size = len(text.encode("utf-8"))
    except UnicodeEncodeError:
        return "it holds half of a character pair"
    return f"it has {size} bytes; at most {LONGEST} are allowed" if size > LONGEST else ""


def topic_fault(topic: str) -> str:
    """Tell what is wrong with the name of a topic that is published to, "" if nothing."""
    for wild in "+#":
        if wild in topic:
            return f"{wild} stands only in filters"
    return _text_fault(topic)


def filter_fault(wanted: str) -> str:
    """Tell what is wrong with a filter that is subscribed to, "" if nothing."""
    levels = wanted.split("/")
    for level in levels:
        if "+" in level and level != "+":
            return f"+ stands for a whole level, not for a part of {level!r}"
        if "#" in level and level != "#":
            return f"# stands for whole levels, not for a part of {level!r}"
    if "#" in levels[:-1]:
        return "# is the last level"
    return _text_fault(wanted)


def matches(wanted: str, topic: str) -> bool:
    """Tell whether a filter wants a topic; names that begin with $ only if the filter does."""
    return bool(_matcher()(wanted, topic))


@lru_cache(1)
def _matcher():  # type: ignore[no-untyped-def]
    # paho takes a tenth of a second to load, and few programs use the radio.
    from paho.mqtt.client import topic_matches_sub

    return topic_matches_sub
