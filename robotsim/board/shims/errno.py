# The board's error numbers, which are not those of a desktop computer.

EPERM = 1
ENOENT = 2
EIO = 5
EBADF = 9
EAGAIN = 11
ENOMEM = 12
EACCES = 13
EEXIST = 17
ENODEV = 19
EISDIR = 21
EINVAL = 22
EOPNOTSUPP = 95
ECONNRESET = 104
ENOBUFS = 105
ECONNREFUSED = 111
EADDRINUSE = 112
ECONNABORTED = 113
ETIMEDOUT = 116
EHOSTUNREACH = 118
EINPROGRESS = 119
EALREADY = 120
ENOTCONN = 128

errorcode = dict((n, name) for name, n in list(globals().items()) if name[0] == "E")
