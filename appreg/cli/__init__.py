"""The command line: one file a command, one owner of what is printed, and the exit codes."""
