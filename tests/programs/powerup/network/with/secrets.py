NETWORKS = [
    ("pier", "gull-and-herring"),
    ("boathouse", "oakum-and-tar"),
    ("harbour", "lighthouse"),
]
