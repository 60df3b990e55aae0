"""Marking: nbgrader scores what a learner handed in without running a single cell of it."""
