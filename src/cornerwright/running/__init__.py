"""Many runs of one kind: cut into blocks, done by all cores or by a cluster, kept as they come."""
