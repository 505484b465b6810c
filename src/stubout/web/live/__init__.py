"""Dragging in the browser: a process that holds designs, the pages, what the whole plan then says of a drag."""
