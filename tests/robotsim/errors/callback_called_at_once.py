from umqtt.simple import MQTTClient


def heard(topic, payload):
    print(topic, payload)


client = MQTTClient("tug-7", "192.168.4.1")
client.set_callback(heard())
