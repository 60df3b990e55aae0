# The board's network module: the wireless station.

import _link

STA_IF = 0
AP_IF = 1
STAT_BEACON_TIMEOUT = 200
STAT_NO_AP_FOUND = 201
STAT_WRONG_PASSWORD = 202
STAT_ASSOC_FAIL = 203
STAT_CONNECT_FAIL = 203
STAT_HANDSHAKE_TIMEOUT = 204
STAT_IDLE = 1000
STAT_CONNECTING = 1001
STAT_GOT_IP = 1010
AUTH_OPEN = 0
AUTH_WPA2_PSK = 3

_name = ["quayside"]


def hostname(name=None):
    """Give or set the name under which the board asks for its address."""
    if name is None:
        return _name[0]
    _name[0] = str(name)


class WLAN:
    """The board's wireless station; WLAN(WLAN.IF_STA) is always the same one."""

    IF_STA = STA_IF
    IF_AP = AP_IF
    SEC_OPEN = AUTH_OPEN
    SEC_WPA2 = AUTH_WPA2_PSK
    PM_NONE = 0
    PM_PERFORMANCE = 1
    PM_POWERSAVE = 2
    _only = None

    def __new__(cls, interface=STA_IF):
        if interface == AP_IF:
            raise ValueError("the tug's radio joins networks, it does not make one")
        if interface != STA_IF:
            raise ValueError("invalid WLAN interface identifier")
        if cls._only is None:
            cls._only = object.__new__(cls)
            cls._only._ssid = ""
            cls._only._retries = -1
            cls._only._pm = cls.PM_PERFORMANCE
        return cls._only

    def __init__(self, interface=STA_IF):
        pass

    def active(self, is_active=None):
        word = "-" if is_active is None else "1" if is_active else "0"
        return _link.ask("C on " + word) == "1"

    def scan(self):
        answer = _link.ask("C scan")
        if answer == "off":
            raise OSError("STA must be active")
        return [_network(words.split(",")) for words in answer.split(" ") if words]

    def connect(self, ssid=None, key=None, bssid=None):
        if ssid is None:
            ssid = self._ssid
        self._ssid = _text(ssid)
        key = "" if key is None else _text(key)
        if key and not 8 <= len(key) <= 64:
            raise OSError("Wifi Invalid Argument")  # as the driver has it: 8 to 64 characters
        answer = _link.ask("C join %s %s" % (_link.hexed(self._ssid), _link.hexed(key)))
        if answer == "off":
            raise OSError("Wifi Not Started")
        if answer == "busy":
            raise OSError("Wifi Internal State Error")

    def disconnect(self):
        _link.ask("C leave")

    def isconnected(self):
        return self._status(1) == 1

    def status(self, param=None):
        if param is None:
            return self._status(0)
        if param == "rssi":
            if not self._status(1):
                raise OSError("Wifi Not Connected")
            return self._status(2)
        raise ValueError("unknown status param")

    def _status(self, which):
        return int(_link.ask("C status").split(" ")[which])

    def ifconfig(self, config=None):
        if config is not None:
            raise ValueError("the harbour's network gives the addresses itself")
        return tuple(_link.ask("C addresses").split(" "))

    def ipconfig(self, param):
        address, mask, gateway, _ = self.ifconfig()
        if param == "addr4":
            return address, mask
        if param == "gw4":
            return gateway
        raise ValueError("unexpected key")

    def config(self, *what, **values):
        if what and values or len(what) > 1:
            raise TypeError("either pos or kw args are allowed")
        for name in values:
            self._set(name, values[name])
        if not what:
            return None
        if what[0] == "mac":
            return _link.unhexed(_link.ask("N"))
        if what[0] in ("ssid", "essid"):
            return self._ssid
        if what[0] == "reconnects":
            return self._retries
        if what[0] == "pm":
            return self._pm
        if what[0] in ("hostname", "dhcp_hostname"):
            return _name[0]
        raise ValueError("unknown config param")

    def _set(self, name, value):
        if name == "reconnects":
            self._retries = _link.whole(value)
            _link.ask("C retry %d" % self._retries)
        elif name in ("hostname", "dhcp_hostname"):
            hostname(value)
        elif name == "pm":
            if value not in (self.PM_NONE, self.PM_PERFORMANCE, self.PM_POWERSAVE):
                raise OSError("Wifi Invalid Argument")
            _link.ask("C save %d" % value)
            self._pm = value
        elif name not in ("txpower", "channel"):  # those change nothing that shows here
            raise ValueError("unknown config param")


def _text(value):
    return value.decode() if isinstance(value, (bytes, bytearray)) else value


def _network(words):
    name, address, channel, signal, lock, hidden = words
    return (
        _link.unhexed(name), _link.unhexed(address),
        int(channel), int(signal), int(lock), hidden == "1",
    )  # fmt: skip
