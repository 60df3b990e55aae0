import json

order = json.loads("{'speed': 0.2}")
