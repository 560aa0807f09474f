"""Jobs and part lists in, plans out; every fault told with its place, nothing decided."""
