"""Hub: a class on one server, under JupyterHub; HUB.md is the teacher's page."""
