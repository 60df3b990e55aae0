"""Cable: the tug that one can plug in, and a real board at the end of a cable (CABLE.md)."""
