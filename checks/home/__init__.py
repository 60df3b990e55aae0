"""Home: the page from which a learner goes on, served beside JupyterLab on this machine alone."""
