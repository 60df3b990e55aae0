# criterion: It follows the line to the bar
# Nothing yet.
