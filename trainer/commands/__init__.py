"""What each command does, one module a command; `trainer.commands.line` reads their words."""
