# criterion: It sets off on an order
# Nothing yet.
