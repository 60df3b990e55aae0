# criterion: It obeys its first order
# criterion: It stops when the network is lost
# criterion: It stops when the broker is gone
# criterion: It rejoins and obeys again
# criterion: The office learns that it is gone
# Nothing yet.
