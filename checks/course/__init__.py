"""A course made of the lessons: built, released to learners, laid out for nbgrader."""
