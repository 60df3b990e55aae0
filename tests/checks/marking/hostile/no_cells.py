"""A notebook without cells."""

LINE = "without cells"


def make(nb):
    return {"cells": [], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}
