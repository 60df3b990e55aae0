# criterion: It reports what it has done
# criterion: It reports what it has refused
# criterion: It says that it is there
# criterion: Its reports come at least once
# Nothing yet.
