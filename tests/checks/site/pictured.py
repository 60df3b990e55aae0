"""Tells, in a tab's kernel, whether what draws pictures is there."""


def found() -> list[object]:
    """Give matplotlib's version, and whether the kit will draw with it."""
    import matplotlib

    from robotsim.show.display import can_draw

    return [matplotlib.__version__, can_draw()]
