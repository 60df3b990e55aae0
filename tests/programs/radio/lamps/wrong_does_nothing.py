# criterion: It shows what good orders ask
# criterion: It refuses bad orders
# criterion: It goes on listening
# Nothing yet.
