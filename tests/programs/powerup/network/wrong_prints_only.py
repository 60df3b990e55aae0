# criterion: It joins the first on the list
# mistake: no network asked for
print('joining pier')
print('joined pier')
