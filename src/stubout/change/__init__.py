"""A changed job against the last accepted layout: what is kept, what moved, what clashes, what else would do."""
