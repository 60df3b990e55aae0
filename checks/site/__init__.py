"""Site: the whole course in a browser's tab, as a folder of static files (SITE.md)."""
