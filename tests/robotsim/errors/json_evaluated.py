msg = b'{"lamps": [true, true, false]}'
order = eval(msg)
