# The board's MQTT client that connects again by itself, with the calls of umqtt.robust.
#
# As there: it keeps the broker's session (connect(clean_session=False)) and does not
# subscribe again, so a first connect must keep the session too.

import time

import umqtt.simple


class MQTTClient(umqtt.simple.MQTTClient):
    """A connection that is made anew whenever it breaks, however long that takes."""

    DELAY = 2
    DEBUG = False

    def delay(self, i):
        """Wait before the next try."""
        time.sleep(self.DELAY)

    def log(self, in_reconnect, e):
        """Print what went wrong, if DEBUG is set."""
        if self.DEBUG:
            print("mqtt reconnect: %r" % e if in_reconnect else "mqtt: %r" % e)

    def reconnect(self):
        """Connect again, and again, until it works."""
        tries = 0
        while True:
            try:
                return self.connect(False)
            except OSError as fault:
                self.log(True, fault)
                tries += 1
                self.delay(tries)

    def publish(self, topic, msg, retain=False, qos=0):
        """Publish, if need be on a new connection."""
        return self._again(lambda: umqtt.simple.MQTTClient.publish(self, topic, msg, retain, qos))

    def wait_msg(self):
        """Wait for one message, if need be on a new connection."""
        return self._again(lambda: umqtt.simple.MQTTClient.wait_msg(self))

    def check_msg(self, attempts=2):
        """Handle a message if one is there."""
        while attempts:
            try:
                self.sock.setblocking(False)
                return umqtt.simple.MQTTClient.wait_msg(self)
            except OSError as fault:
                self.log(False, fault)
            self.reconnect()
            attempts -= 1

    def _again(self, do):
        while True:
            try:
                return do()
            except OSError as fault:
                self.log(False, fault)
            self.reconnect()
