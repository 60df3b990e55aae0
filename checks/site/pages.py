def write_pages(site, chosen, room, *, drawn): pass
