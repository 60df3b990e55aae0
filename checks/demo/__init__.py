"""Demo: a made-up class that is marked end to end; it stands on course and marking."""
