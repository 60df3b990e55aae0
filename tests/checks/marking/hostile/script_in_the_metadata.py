"""Scripts stand wherever a file has names."""

SCRIPT = "</script><script>document.title='acted'</script>"


def make(nb):
    nb["metadata"] = {
        "title": SCRIPT, "kernelspec": {"name": SCRIPT, "display_name": SCRIPT, "language": SCRIPT},
        "language_info": {"name": SCRIPT, "pygments_lexer": SCRIPT},
        "widgets": {"application/vnd.jupyter.widget-state+json": {"state": SCRIPT}},
    }
    for one in nb["cells"]:
        one["metadata"]["tags"] = [SCRIPT]
        one["attachments"] = {SCRIPT: {"text/html": SCRIPT}}
