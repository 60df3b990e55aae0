print "ahoy"
