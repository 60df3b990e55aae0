# kind: Sly
# shows: 
class Sly(Exception):
    def __str__(self):
        raise RuntimeError("not this either")


raise Sly  # here
