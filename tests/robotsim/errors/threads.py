import threading
