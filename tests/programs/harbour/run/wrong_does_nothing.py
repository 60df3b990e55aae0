# criterion: The float ends in the dock
# Nothing yet.
