import helm

helm.steer(5)
