# MQTT for the board: umqtt.simple and umqtt.robust.
