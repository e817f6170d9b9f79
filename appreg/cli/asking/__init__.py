"""An inspection asked line by line: for screen readers, scripts and slow lines, judged by the same tasks as the Bench."""
