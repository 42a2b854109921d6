"""One straight line: start, one poll, one clock, one timer; reload and the control socket."""
