"""A fix for a finding, made on a copy of the design and checked again before it is offered."""
