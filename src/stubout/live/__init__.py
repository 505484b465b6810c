"""A change answered at once: a thing dragged on a copy of the finished design, judged by the checks that can react."""
